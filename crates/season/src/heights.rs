//! Bench settings for the first loop mowings, and the one-third rule.
//!
//! Loops meet the grass from the side it leans away from, so the first one or two of them are
//! cut about 10% higher and then the bench height is taken up again (common practice). A bench
//! gauge has steps; a height between two of them cannot be set.
//!
//! The one-third rule, remove no more than a third, is in print in two conventions; they do
//! not agree, so the one used is always named ([`ThirdRule`]).

use std::fmt;

/// Part of the bench height by which the first loop mowings are raised (common practice).
pub const DEFAULT_RAISE: f64 = 0.10;
/// How many loop mowings are raised (common practice: the first one or two).
pub const DEFAULT_RAISED_MOWINGS: u32 = 2;
/// Step of a bench gauge, metres: five thousandths of an inch, the step in which heights of cut
/// are usually told (common practice; dial gauges read finer).
pub const DEFAULT_GAUGE_STEP_M: f64 = 0.005 * 0.0254;
/// Lowest bench height that makes sense, metres.
pub const MIN_BENCH_M: f64 = 0.001;
/// Highest bench height that makes sense on a fairway, metres.
pub const MAX_BENCH_M: f64 = 0.15;

/// The one-third rule as printed in two places.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ThirdRule {
    /// Mow when the grass has grown to 1.5 times the height of cut: a third of the plant comes
    /// off (Cornell University, *The One-Third Rule*: 3 in is mown at about 4.5 in; Penn State,
    /// *Lawn Management Through the Seasons*: 2 in at 3 in).
    ThirdOfPlant,
    /// Mow when the grass has grown to 4/3 of the height of cut: growth of a third of the height
    /// comes off (Waltz, University of Georgia: 0.5 in at 0.67 in, 1.5 in at 2.0 in).
    ThirdOfHeight,
}

/// The convention that every command goes by unless told otherwise: a third of the plant, as most
/// print it.
pub const DEFAULT_THIRD_RULE: ThirdRule = ThirdRule::ThirdOfPlant;

impl ThirdRule {
    /// Tallest grass that may be cut to a height, over that height.
    pub fn ratio(self) -> f64 {
        match self {
            ThirdRule::ThirdOfPlant => 1.5,
            ThirdRule::ThirdOfHeight => 4.0 / 3.0,
        }
    }

    /// The convention in words, with where it is printed.
    pub fn words(self) -> &'static str {
        match self {
            ThirdRule::ThirdOfPlant => {
                "a third of the plant: mow at 1.5 times the height (Cornell, Penn State)"
            }
            ThirdRule::ThirdOfHeight => {
                "a third of the height: mow at 4/3 of the height (Waltz, Univ. of Georgia)"
            }
        }
    }
}

/// How the first loop mowings are raised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoopHeights {
    /// Bench height of cut, metres.
    pub bench_m: f64,
    /// Part of the bench height to add, 0 to 1.
    pub raise: f64,
    /// How many loop mowings are raised.
    pub raised_mowings: u32,
    /// Step of the bench gauge, metres.
    pub gauge_step_m: f64,
}

impl LoopHeights {
    /// The usual: 10% up for two mowings, a gauge in steps of 0.005 in.
    pub fn usual(bench_m: f64) -> Self {
        Self {
            bench_m,
            raise: DEFAULT_RAISE,
            raised_mowings: DEFAULT_RAISED_MOWINGS,
            gauge_step_m: DEFAULT_GAUGE_STEP_M,
        }
    }
}

/// Why no settings can be given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeightError {
    /// Which number.
    pub what: &'static str,
    /// Its value, in the unit `unit`.
    pub value: f64,
    /// Unit of the numbers.
    pub unit: &'static str,
    /// Least allowed.
    pub least: f64,
    /// Most allowed.
    pub most: f64,
}

impl fmt::Display for HeightError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let HeightError {
            what,
            value,
            unit,
            least,
            most,
        } = self;
        write!(
            f,
            "{what} is {value} {unit}; give a number from {least} to {most} {unit}"
        )
    }
}

impl std::error::Error for HeightError {}

/// The height for one loop mowing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BenchSetting {
    /// Which loop mowing, 1 the first.
    pub mowing: u32,
    /// Height before rounding, metres.
    pub wanted_m: f64,
    /// Height to set, on the gauge, metres.
    pub set_m: f64,
}

impl BenchSetting {
    /// How far the set height is above (or below) `bench_m`, as a part of it.
    pub fn raise_over(&self, bench_m: f64) -> f64 {
        self.set_m / bench_m - 1.0
    }
}

/// Heights for the first loop mowings: the raised ones, then the bench height once more.
///
/// A raised height is rounded to the nearest mark of the gauge, but never down to the bench
/// height: a crew that was told to raise must have something to set. The bench height itself is
/// taken as it is.
///
/// # Errors
/// [`HeightError`] when a number makes no sense.
///
/// ```
/// use crossgrain_season::heights::{LoopHeights, bench_settings};
/// let half_inch = LoopHeights::usual(0.0127);
/// let settings = bench_settings(&half_inch).unwrap();
/// // 10% up is 0.550 in, a mark of the gauge.
/// assert!((settings[0].set_m / 0.0254 - 0.55).abs() < 1e-12);
/// assert_eq!(settings.last().unwrap().set_m, 0.0127);
/// ```
pub fn bench_settings(h: &LoopHeights) -> Result<Vec<BenchSetting>, HeightError> {
    within("bench height", h.bench_m, "m", MIN_BENCH_M, MAX_BENCH_M)?;
    within("raise", h.raise, "of the bench height", 0.0, 1.0)?;
    within("gauge step", h.gauge_step_m, "m", 1e-6, h.bench_m)?;
    within(
        "raised mowings",
        f64::from(h.raised_mowings),
        "mowings",
        0.0,
        52.0,
    )?;
    let wanted_m = h.bench_m * (1.0 + h.raise);
    let raised_m = if h.raise > 0.0 {
        // The slack keeps a bench height that lies on a mark from counting as just below it.
        let next_mark = (h.bench_m / h.gauge_step_m + 1e-9).floor() + 1.0;
        (wanted_m / h.gauge_step_m).round().max(next_mark) * h.gauge_step_m
    } else {
        h.bench_m
    };
    let mut out: Vec<BenchSetting> = (1..=h.raised_mowings)
        .map(|mowing| BenchSetting {
            mowing,
            wanted_m,
            set_m: raised_m,
        })
        .collect();
    out.push(BenchSetting {
        mowing: h.raised_mowings + 1,
        wanted_m: h.bench_m,
        set_m: h.bench_m,
    });
    Ok(out)
}

/// What one mowing takes off, and whether the one-third rule holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThirdCheck {
    /// Convention used.
    pub rule: ThirdRule,
    /// Height of the grass before the mowing, metres.
    pub standing_m: f64,
    /// Tallest grass the rule allows for this height of cut, metres.
    pub limit_m: f64,
    /// Part of the standing grass taken off, 0 to 1; zero when the cut is above the grass.
    pub removed: f64,
    /// Whether the rule holds.
    pub holds: bool,
}

/// Checks a cut to `to_m` on grass that was cut to `from_m` and grew for `interval_days` at
/// `growth_m_day` metres a day.
///
/// ```
/// use crossgrain_season::heights::{ThirdRule, third_check};
/// // Half an inch and 4.5 mm of growth: too much for one convention, not for the other.
/// let c = third_check(0.0127, 0.0127, 3.0, 0.0015, ThirdRule::ThirdOfHeight);
/// assert!(!c.holds);
/// assert!(third_check(0.0127, 0.0127, 3.0, 0.0015, ThirdRule::ThirdOfPlant).holds);
/// ```
pub fn third_check(
    from_m: f64,
    to_m: f64,
    interval_days: f64,
    growth_m_day: f64,
    rule: ThirdRule,
) -> ThirdCheck {
    let standing_m = from_m + interval_days * growth_m_day;
    let limit_m = to_m * rule.ratio();
    ThirdCheck {
        rule,
        standing_m,
        limit_m,
        removed: if standing_m > 0.0 {
            ((standing_m - to_m) / standing_m).max(0.0)
        } else {
            0.0
        },
        // A billionth of slack: a figure at the limit is within it.
        holds: standing_m <= limit_m * (1.0 + 1e-9),
    }
}

/// Longest interval between mowings at one height that keeps the rule, days.
pub fn longest_interval_days(height_m: f64, growth_m_day: f64, rule: ThirdRule) -> f64 {
    height_m * (rule.ratio() - 1.0) / growth_m_day
}

/// The settings, each checked against the rule: the first is cut from the bench height, each later
/// one from the setting before it.
pub fn checked_settings(
    settings: &[BenchSetting],
    bench_m: f64,
    interval_days: f64,
    growth_m_day: f64,
    rule: ThirdRule,
) -> Vec<ThirdCheck> {
    let mut from_m = bench_m;
    settings
        .iter()
        .map(|s| {
            let check = third_check(from_m, s.set_m, interval_days, growth_m_day, rule);
            from_m = s.set_m;
            check
        })
        .collect()
}

fn within(
    what: &'static str,
    value: f64,
    unit: &'static str,
    least: f64,
    most: f64,
) -> Result<(), HeightError> {
    if (least..=most).contains(&value) {
        Ok(())
    } else {
        Err(HeightError {
            what,
            value,
            unit,
            least,
            most,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const IN: f64 = 0.0254;

    #[test]
    fn both_conventions_as_printed() {
        // Cornell University turf pages: height of cut and the height to mow at, inches.
        for (cut, mow_at) in [(1.5, "2.25"), (3.0, "4.50")] {
            let limit = third_check(0.0, cut * IN, 0.0, 0.0, ThirdRule::ThirdOfPlant).limit_m;
            assert_eq!(format!("{:.2}", limit / IN), mow_at);
        }
        // Waltz, University of Georgia.
        for (cut, mow_at) in [(0.5, "0.67"), (1.5, "2.00")] {
            let limit = third_check(0.0, cut * IN, 0.0, 0.0, ThirdRule::ThirdOfHeight).limit_m;
            assert_eq!(format!("{:.2}", limit / IN), mow_at);
        }
    }

    #[test]
    fn two_raised_then_back() {
        let h = LoopHeights {
            gauge_step_m: IN / 64.0,
            ..LoopHeights::usual(0.5 * IN)
        };
        let settings = bench_settings(&h).unwrap();
        let set: Vec<String> = settings
            .iter()
            .map(|s| format!("{:.4}", s.set_m / IN))
            .collect();
        // 0.55 wanted; 35/64 = 0.5469 is the nearest mark.
        assert_eq!(set, ["0.5469", "0.5469", "0.5000"]);
        assert_relative_eq!(settings[0].wanted_m, 0.55 * IN);
        assert_relative_eq!(settings[0].raise_over(0.5 * IN), 0.09375, epsilon = 1e-12);
    }

    #[test]
    fn a_coarse_gauge_still_raises_by_a_step() {
        let h = LoopHeights {
            gauge_step_m: 0.002,
            ..LoopHeights::usual(0.009)
        };
        // 9.9 mm wanted; 10 mm is the mark above 9 mm.
        assert_relative_eq!(bench_settings(&h).unwrap()[0].set_m, 0.010);
        let on_a_mark = LoopHeights {
            gauge_step_m: 0.003,
            ..LoopHeights::usual(0.009)
        };
        // 9.9 mm would round down to the bench height itself.
        assert_relative_eq!(bench_settings(&on_a_mark).unwrap()[0].set_m, 0.012);
    }

    #[test]
    fn no_raise_stays_on_the_bench() {
        let h = LoopHeights {
            raise: 0.0,
            ..LoopHeights::usual(0.012)
        };
        assert!(bench_settings(&h).unwrap().iter().all(|s| s.set_m == 0.012));
    }

    #[test]
    fn the_step_back_takes_off_more() {
        let h = LoopHeights {
            gauge_step_m: IN / 64.0,
            ..LoopHeights::usual(0.5 * IN)
        };
        let settings = bench_settings(&h).unwrap();
        // 0.06 in a day, every second day.
        let c = checked_settings(
            &settings,
            h.bench_m,
            2.0,
            0.06 * IN,
            ThirdRule::ThirdOfHeight,
        );
        assert!(c[0].holds && c[1].holds);
        // 0.5469 + 0.12 = 0.6669 against 0.6667: just too much.
        assert!(!c[2].holds);
        assert_relative_eq!(c[2].standing_m / IN, 0.666875, epsilon = 1e-9);
        assert_relative_eq!(
            longest_interval_days(h.bench_m, 0.06 * IN, ThirdRule::ThirdOfPlant),
            0.25 / 0.06,
            epsilon = 1e-9
        );
    }

    #[test]
    fn nonsense_is_refused() {
        for h in [
            LoopHeights::usual(-1.0),
            LoopHeights::usual(f64::NAN),
            LoopHeights::usual(3.0),
            LoopHeights {
                gauge_step_m: 0.0,
                ..LoopHeights::usual(0.01)
            },
            LoopHeights {
                raise: f64::INFINITY,
                ..LoopHeights::usual(0.01)
            },
            LoopHeights {
                raised_mowings: u32::MAX,
                ..LoopHeights::usual(0.01)
            },
        ] {
            assert!(bench_settings(&h).is_err());
        }
    }
}
