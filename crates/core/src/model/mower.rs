//! The mower: cutting units, turning radius, speeds.

use crate::model::quantity::KMH_M_S;

/// One cutting unit, placed on the mower (axes as in ISO 8855: forward and left are positive).
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct CuttingUnit {
    /// Middle of the unit, metres to the left of the axle's midpoint.
    pub across_m: f64,
    /// Cutting line, metres ahead of the fixed axle.
    pub ahead_m: f64,
    /// Cutting width, metres.
    pub width_m: f64,
}

impl CuttingUnit {
    /// Left end of the cutting line, metres to the left.
    #[doc(hidden)]
    pub fn left_m(&self) -> f64 {
        self.across_m + self.width_m / 2.0
    }

    /// Right end of the cutting line, metres to the left (negative is right).
    #[doc(hidden)]
    pub fn right_m(&self) -> f64 {
        self.across_m - self.width_m / 2.0
    }
}

/// Travel speeds, metres per second.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Speeds {
    /// Reels down on stripes and clean-up passes.
    pub mowing_m_s: f64,
    /// Reels down on loops.
    pub loops_m_s: f64,
    /// Reels up between passes, straight.
    pub transport_m_s: f64,
    /// Reels up on a turn.
    pub turning_m_s: f64,
}

/// Reel data that the clip (travel per cut) needs.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Reel {
    /// Blades on a reel.
    pub blades: u32,
    /// Reel speed, revolutions per minute.
    pub rpm: f64,
}

/// Share of a shift that is driving, where nobody says: four fifths.
///
/// Stops, emptying, fuel and the way between fairways take the rest. ASAE D497 gives mowers a field
/// efficiency of 75 to 85%, 80% as typical (from memory; copies differ up to 90%). That figure counts
/// turns and overlap too, so a shift reckoned with it leans to the long side.
pub const DEFAULT_SHIFT_EFFICIENCY: f64 = 0.80;
/// Least share of a shift that is driving: below this most of the day is spent elsewhere.
pub const MIN_SHIFT_EFFICIENCY: f64 = 0.20;

/// A mower: what it cuts, how it turns, how fast it goes.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Mower {
    /// The crew's name for it.
    pub name: String,
    /// Cutting units; at least one.
    pub units: Vec<CuttingUnit>,
    /// Tightest radius the axle's midpoint can follow, metres.
    pub turning_radius_m: f64,
    /// Speeds.
    pub speeds: Speeds,
    /// Seconds to lift or lower the units once.
    pub lift_lower_s: f64,
    /// Share of a shift that is driving with this mower, above 0 to 1: the crew's own figure.
    pub shift_efficiency: f64,
    /// Reel data, when known.
    pub reel: Option<Reel>,
    /// Bench height of cut, metres, when known.
    pub bench_height_m: Option<f64>,
    /// Whether turns with a reverse are allowed.
    pub may_reverse: bool,
}

impl Mower {
    /// A plain bar of `width_m` metres with everyday speeds: fairway work at 4 to 6 mph,
    /// turning slower (common practice). Turning radius 2 m.
    ///
    /// ```
    /// use crossgrain_core::Mower;
    /// let m = Mower::bar(2.54);
    /// assert_eq!(m.cutting_width_m(), 2.54);
    /// ```
    pub fn bar(width_m: f64) -> Self {
        let bar = CuttingUnit {
            across_m: 0.0,
            ahead_m: 0.0,
            width_m,
        };
        Self::of_units("bar", vec![bar])
    }

    /// A mower of these cutting units; all else as [`Mower::bar`], to be set.
    pub fn of_units(name: impl Into<String>, units: Vec<CuttingUnit>) -> Self {
        Self {
            name: name.into(),
            units,
            turning_radius_m: 2.0,
            speeds: Speeds {
                mowing_m_s: 8.0 * KMH_M_S,
                loops_m_s: 6.0 * KMH_M_S,
                transport_m_s: 10.0 * KMH_M_S,
                turning_m_s: 5.0 * KMH_M_S,
            },
            lift_lower_s: 1.5,
            shift_efficiency: DEFAULT_SHIFT_EFFICIENCY,
            reel: None,
            bench_height_m: None,
            may_reverse: false,
        }
    }

    /// Outermost cut edge on the left, metres left of the axle's midpoint.
    pub fn left_m(&self) -> f64 {
        self.most(CuttingUnit::left_m)
    }

    /// Outermost cut edge on the right, metres left of the axle's midpoint (so usually negative).
    pub fn right_m(&self) -> f64 {
        -self.most(|u| -u.right_m())
    }

    /// Span from the outermost cut edge to the outermost cut edge, metres.
    pub fn cutting_width_m(&self) -> f64 {
        self.left_m() - self.right_m()
    }

    /// So far beyond its path's ends a deck may have to be driven to cut all that lies there, metres.
    pub(crate) fn run_out_m(&self) -> f64 {
        self.cutting_width_m() + self.most(|u| u.ahead_m.abs())
    }

    /// Whether a pass cuts the same ground driven either way: every cutting line on the axle,
    /// and the units a mirror image of themselves.
    #[doc(hidden)]
    pub fn same_both_ways(&self) -> bool {
        let none = |m: f64| m.abs() < 1e-9;
        let mirrored = |u: &CuttingUnit, v: &CuttingUnit| {
            none(u.across_m + v.across_m) && none(u.width_m - v.width_m)
        };
        let mut units = self.units.iter();
        units.all(|u| none(u.ahead_m) && self.units.iter().any(|v| mirrored(u, v)))
    }

    /// The largest figure of any unit.
    fn most(&self, of: impl Fn(&CuttingUnit) -> f64) -> f64 {
        self.units.iter().map(of).fold(f64::NEG_INFINITY, f64::max)
    }
}
