//! A mower as a mower file has it.

use crossgrain_core::Mower;
use crossgrain_core::inside::model::quantity::KMH_M_S;
use serde_json::{Value, json};

/// The mower as JSON that [`crate::mower::read`] reads.
///
/// ```
/// use crossgrain_core::Mower;
/// let bar = Mower::bar(2.54);
/// let text = crossgrain_formats::mower_value(&bar).to_string();
/// let again = crossgrain_formats::mower::read(&text, "bar.json").unwrap();
/// assert_eq!(again.units, bar.units);
/// ```
pub fn mower_value(m: &Mower) -> Value {
    let s = &m.speeds;
    let mut v = json!({
        "name": m.name,
        "units": m.units.iter().map(|u| json!({
            "across_m": u.across_m, "ahead_m": u.ahead_m, "width_m": u.width_m,
        })).collect::<Vec<_>>(),
        "turning_radius_m": m.turning_radius_m,
        "speeds_kmh": {
            "mowing": s.mowing_m_s / KMH_M_S,
            "loops": s.loops_m_s / KMH_M_S,
            "transport": s.transport_m_s / KMH_M_S,
            "turning": s.turning_m_s / KMH_M_S,
        },
        "lift_lower_s": m.lift_lower_s,
        "shift_efficiency": m.shift_efficiency,
        "may_reverse": m.may_reverse,
        // It was asked when the mower was first read.
        "gaps_allowed": true,
    });
    if let Some(r) = &m.reel {
        v["reel"] = json!({"blades": r.blades, "rpm": r.rpm});
    }
    if let Some(h) = m.bench_height_m {
        v["bench_height_mm"] = json!(h * 1000.0);
    }
    v
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{fingerprint, mower};
    use std::path::Path;

    #[test]
    fn what_is_written_is_read_again_as_the_same_mower() {
        let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples");
        for file in ["light-five.json", "large-gang.json"] {
            let m = mower::open(&samples.join(file)).unwrap();
            let again = mower::read(&mower_value(&m).to_string(), file).unwrap();
            assert_eq!(fingerprint::mower(&again), fingerprint::mower(&m));
            assert_eq!((again.name, again.reel), (m.name, m.reel));
        }
    }
}
