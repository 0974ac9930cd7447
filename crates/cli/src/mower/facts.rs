//! Everything `crossgrain mower` tells, gathered before any of it is written.

use crossgrain_core::inside::patterns::lattice::{Lattice, solve};
use crossgrain_core::{CuttingUnit, LoopTrain, Mower, Sense};
use crossgrain_metrics::deck_report::{DeckReport, deck_report};
use crossgrain_metrics::lattice_gaps::{Lanes, worst_uncut_part};
use crossgrain_season::heights::{
    BenchSetting, HeightError, LoopHeights, ThirdCheck, ThirdRule, bench_settings, checked_settings,
};

/// What was asked about a mower.
#[derive(Debug, Clone)]
pub struct Ask {
    /// The mower.
    pub mower: Mower,
    /// Mean loop diameter, metres.
    pub diameter_m: f64,
    /// Which way round.
    pub sense: Sense,
    /// Overlap that the steering tolerance is taken from, metres.
    pub overlap_m: f64,
    /// Bench settings, when a bench height is known.
    pub heights: Option<LoopHeights>,
    /// Days between mowings and growth in metres a day, when given.
    pub growth: Option<(f64, f64)>,
    /// Convention of the one-third rule.
    pub rule: ThirdRule,
}

/// A lattice and what it leaves with the real units.
#[derive(Debug, Clone, Copy)]
pub struct Proven {
    /// The lattice.
    pub lattice: Lattice,
    /// Part of the ground that the real units leave uncut, worst phase between lanes.
    pub uncut_part: f64,
}

/// The answer.
#[derive(Debug, Clone)]
pub struct Facts {
    /// Strips, speeds, clips.
    pub deck: DeckReport,
    /// The lattice planned for the real units, or why there is none.
    pub for_units: Result<Proven, String>,
    /// The lattice planned for a bar of the same width, driven with the real units.
    pub for_bar: Result<Proven, String>,
    /// Bench settings.
    pub heights: Option<Heights>,
}

/// Bench settings and their checks.
#[derive(Debug, Clone)]
pub struct Heights {
    /// How they were asked for.
    pub asked: LoopHeights,
    /// The settings.
    pub settings: Vec<BenchSetting>,
    /// One check a setting, when interval and growth are known.
    pub checks: Vec<ThirdCheck>,
}

/// Less uncut ground than this is rounding of the coverage measure.
pub const NOTHING_LEFT: f64 = 1e-9;

/// Gathers the facts.
///
/// # Errors
/// [`HeightError`] when the heights asked for make no sense.
pub fn facts(ask: &Ask) -> Result<Facts, HeightError> {
    let train = {
        let mut made = LoopTrain::new(ask.diameter_m, ask.sense);
        made.steering_tolerance_m = ask.overlap_m / 2.0;
        made
    };
    let lattice = |planned_for: &Mower| {
        solve(planned_for, &train)
            .map(|lattice| Proven {
                lattice,
                uncut_part: worst_uncut_part(&ask.mower, &lanes(&lattice)),
            })
            .map_err(|e| e.to_string())
    };
    let heights = match &ask.heights {
        None => None,
        Some(asked) => {
            let settings = bench_settings(asked)?;
            let checks = ask.growth.map_or(Vec::new(), |(days, growth_m_day)| {
                checked_settings(&settings, asked.bench_m, days, growth_m_day, ask.rule)
            });
            Some(Heights {
                asked: *asked,
                settings,
                checks,
            })
        }
    };
    Ok(Facts {
        deck: deck_report(&ask.mower, ask.diameter_m, ask.sense),
        for_units: lattice(&ask.mower),
        for_bar: lattice(&as_bar(&ask.mower)),
        heights,
    })
}

/// The same mower with one bar on the axle in place of its units.
pub fn as_bar(mower: &Mower) -> Mower {
    {
        let mut made = mower.clone();
        made.units = vec![CuttingUnit {
            across_m: 0.5 * (mower.left_m() + mower.right_m()),
            ahead_m: 0.0,
            width_m: mower.cutting_width_m(),
        }];
        made
    }
}

fn lanes(l: &Lattice) -> Lanes {
    Lanes {
        form: l.shape.form,
        diameter_m: l.shape.diameter_m,
        advance_m: l.shape.advance_m,
        lane_spacing_m: l.lane_spacing_m,
        sense: l.sense,
    }
}
