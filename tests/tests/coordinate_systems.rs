//! Map coordinates against PROJ: `tests/stored/systems.json`, from `tests/scripts/ref_systems.py`.

use crossgrain_core::Plane;
use crossgrain_formats::systems::System;
use serde_json::Value;

/// A millimetre.
const WITHIN_M: f64 = 1e-3;

#[test]
fn map_coordinates_agree_with_proj_to_a_millimetre() {
    let text = include_str!("../stored/systems.json");
    let stored: Value = serde_json::from_str(text).unwrap();
    let systems = stored["systems"].as_array().unwrap();
    assert!(systems.len() >= 10);
    let mut worst = 0.0_f64;
    for s in systems {
        let points = s["points"].as_array().unwrap();
        assert_eq!(points.len(), 20);
        let dialects = s["wkt"].as_object().unwrap();
        assert_eq!(dialects.len(), 3);
        for (dialect, wkt) in dialects {
            let system = System::from_wkt(wkt.as_str().unwrap())
                .unwrap_or_else(|e| panic!("{} {dialect}: {e}", s["name"]));
            for p in points {
                let at = |i: usize| p[i].as_f64().unwrap();
                let [lon, lat] = system.to_degrees([at(0), at(1)]).unwrap();
                let plane = Plane::new([at(2), at(3)]).unwrap();
                let off = plane.distance_m([lon, lat], [at(2), at(3)]);
                assert!(off < WITHIN_M, "{} {dialect} {p}: {off} m", s["name"]);
                worst = worst.max(off);
            }
        }
    }
    println!("{} systems, worst {worst:.2e} m", systems.len());
}
