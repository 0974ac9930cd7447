//! Any text as the definition of a coordinate system, and positions in it.
#![no_main]

use crossgrain_formats::systems::System;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    match System::from_wkt(text) {
        Ok(system) => {
            for at in [[500_000.0, 5e6], [0.0, 0.0], [1e9, -1e9], [f64::NAN, 1.0]] {
                if let Ok([lon, lat]) = system.to_degrees(at) {
                    assert!(lon.abs() <= 180.0 && lat.abs() <= 90.0);
                }
            }
        }
        Err(e) => assert!(!e.to_string().contains(['\u{1b}', '\u{202e}'])),
    }
});
