//! Whether a mow is as clean as plans promise to be.

use crossgrain_core::Mower;
use crossgrain_core::inside::promises::{KEEP_OUT_CUT_M2, MISSED_PLACE_M2, missed_part};
use crossgrain_metrics::Measures;

/// Cut outside the outline, as a part of the fairway. No promise is made of it, for the rough beside a
/// fairway takes no harm; this is what no plan of the tests comes to.
pub const OVERRUN_PART: f64 = 3e-3;

/// Most that may be missed of a mow's ground, square metres: the promise of [`crossgrain_core::inside::promises`].
pub fn missed_m2(mower: &Mower, m: &Measures) -> f64 {
    MISSED_PLACE_M2.max(missed_part(mower) * (m.fairway_m2 - m.trim_m2))
}

/// What is wrong, if more is missed than promised, more overrun than [`OVERRUN_PART`], or a keep-out is
/// cut.
pub fn unclean(mower: &Mower, m: &Measures) -> Option<String> {
    let clean = m.missed_m2 <= missed_m2(mower, m)
        && m.overrun_m2 <= OVERRUN_PART * m.fairway_m2
        && m.keepout_cut_m2 <= m.area_error_bound_m2.max(KEEP_OUT_CUT_M2);
    // Written the other way round, what is no number would pass.
    (!clean).then(|| {
        format!(
            "missed {} of {} allowed, overrun {}, keep-outs {}",
            m.missed_m2,
            missed_m2(mower, m),
            m.overrun_m2,
            m.keepout_cut_m2
        )
    })
}
