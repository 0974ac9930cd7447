//! Whether a mow is as clean as a test wants it.

use crossgrain_metrics::Measures;

/// What is wrong, if more is missed than this share of the reach, more overrun than this share of
/// the fairway, or anything but rounding cut in a keep-out.
pub fn unclean(m: &Measures, missed: f64, overrun: f64) -> Option<String> {
    let reach_m2 = m.fairway_m2 - m.trim_m2;
    let clean = m.missed_m2 <= missed * reach_m2
        && m.overrun_m2 <= overrun * m.fairway_m2
        && m.keepout_cut_m2 <= m.area_error_bound_m2.max(1e-6 * m.fairway_m2);
    (!clean).then(|| {
        format!(
            "missed {}, overrun {}, keep-outs {}",
            m.missed_m2, m.overrun_m2, m.keepout_cut_m2
        )
    })
}
