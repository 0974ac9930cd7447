//! Any bytes as a recorded drive: an outline with an interval round its area, or a reason.
#![no_main]

use crossgrain_formats::survey::{Settings, outline, parse};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let drive = match parse(data.to_vec(), "t") {
        Ok(d) => d,
        Err(e) => return assert!(!e.to_string().contains(['\u{1b}', '\u{202e}'])),
    };
    for offset_m in [0.0, 1.2, -1.2] {
        let settings = Settings {
            offset_m,
            ..Settings::default()
        };
        if let Ok(o) = outline(&drive, &settings) {
            assert!(o.area_low_m2 <= o.area_m2 && o.area_m2 <= o.area_high_m2);
            assert!(o.area_m2.is_finite() && o.ring.len() >= 4);
            assert_eq!(o.ring.first(), o.ring.last());
        }
    }
});
