//! Any text as a course file: a course, or an error, and never a panic.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    match crossgrain_formats::course::read(text, "c.geojson", "c") {
        Ok(file) => {
            // What was promised to the rest of the house.
            for f in &file.course.fairways {
                assert!(!f.ground().0.is_empty());
                for ring in f
                    .ground()
                    .iter()
                    .flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()))
                {
                    assert!(ring.0.len() >= 4 && ring.is_closed());
                    assert!(ring.0.iter().all(|c| c.x.is_finite() && c.y.is_finite()));
                }
            }
            for n in &file.notices {
                assert!(!n.to_string().contains(['\n', '\u{1b}', '\u{202e}']));
            }
        }
        Err(e) => assert!(!e.to_string().contains(['\u{1b}', '\u{202e}'])),
    }
});
