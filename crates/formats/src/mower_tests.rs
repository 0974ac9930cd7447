//! Sound and unsound mower files.

use super::*;
use approx::assert_relative_eq;

const FIVE: &str = r#"{
  "name": "light five-unit",
  "units": [
    {"across_m": 0.0, "ahead_m": 1.4, "width_m": "22in"},
    {"across_m": 1.0, "ahead_m": 1.4, "width_m": "22in"},
    {"across_m": -1.0, "ahead_m": 1.4, "width_m": "22in"},
    {"across_m": 0.5, "ahead_m": 0.6, "width_m": "22in"},
    {"across_m": -0.5, "ahead_m": 0.6, "width_m": "22in"}
  ],
  "turning_radius_m": "6ft",
  "speeds_kmh": {"mowing": 8, "loops": "4mph", "transport": 10, "turning": 5},
  "lift_lower_s": 2,
  "reel": {"blades": 11, "rpm": 2200},
  "bench_height_mm": "0.5in"
}"#;

fn faults(text: &str) -> Vec<MowerFault> {
    match read(text, "mower.json") {
        Err(MowerError::Faults { faults, .. }) => faults,
        other => panic!("{other:?}"),
    }
}

/// The file above with one piece of text replaced.
fn with(old: &str, new: &str) -> Vec<MowerFault> {
    assert!(FIVE.contains(old), "{old}");
    faults(&FIVE.replacen(old, new, 1))
}

#[test]
fn every_entry_is_read() {
    let m = read(FIVE, "mower.json").unwrap();
    assert_eq!(m.units.len(), 5);
    assert_relative_eq!(m.cutting_width_m(), 2.0 + 22.0 * 0.0254, epsilon = 1e-12);
    assert_relative_eq!(m.turning_radius_m, 1.8288, epsilon = 1e-12);
    assert_relative_eq!(m.speeds.loops_m_s, 4.0 * 0.44704, epsilon = 1e-12);
    assert_relative_eq!(m.speeds.mowing_m_s, 8.0 / 3.6, epsilon = 1e-12);
    assert_relative_eq!(m.bench_height_m.unwrap(), 0.0127, epsilon = 1e-12);
    assert_eq!(m.reel.unwrap().blades, 11);
    assert!(!m.may_reverse);
}

#[test]
fn a_gap_on_the_straight_is_refused_unless_allowed() {
    let gap = r#""across_m": 1.2"#;
    let f = with(r#""across_m": 1.0"#, gap);
    assert!(
        matches!(&f[..], [MowerFault::Gap { right: 3, left: 1, width_m }] if (width_m - 0.1412).abs() < 1e-9),
        "{f:?}"
    );
    let allowed = FIVE.replacen(r#""across_m": 1.0"#, gap, 1).replacen(
        "\"name\"",
        "\"gaps_allowed\": true, \"name\"",
        1,
    );
    assert!(read(&allowed, "m").is_ok());
}

#[test]
fn units_in_each_other_or_behind_one_another_are_refused() {
    let f = with(
        r#""across_m": 0.5, "ahead_m": 0.6"#,
        r#""across_m": 0.5, "ahead_m": 1.35"#,
    );
    assert!(
        f.iter().any(|f| matches!(
            f,
            MowerFault::Collide {
                first: 0,
                second: 3,
                ..
            }
        )),
        "{f:?}"
    );
    let f = with(r#""across_m": 0.5"#, r#""across_m": 0.0"#);
    assert!(
        f.contains(&MowerFault::Shadowed { unit: 3, by: 0 }),
        "{f:?}"
    );
}

#[test]
fn each_bad_entry_is_named() {
    for (old, new, part) in [
        (r#""across_m": 0.0, "#, "", "units[0].across_m is missing"),
        (r#""22in""#, r#""22""#, "units[0].width_m: '22' has no unit"),
        (r#""22in""#, r#""22 hands""#, "unit 'hands' is not known"),
        (r#""22in""#, "-0.5", "units[0].width_m is -0.5 m"),
        (r#""22in""#, "0", "must lie between 0.05"),
        (r#""22in""#, "1e300", "units[0].width_m"),
        (
            r#""22in""#,
            "NaN",
            "units[0].width_m must be a number in metres",
        ),
        (r#""6ft""#, "0", "turning_radius_m is 0 m"),
        (r#""speeds_kmh""#, r#""speed""#, "speeds_kmh is missing"),
        (r#""mowing": 8, "#, "", "speeds_kmh.mowing is missing"),
        (r#""4mph""#, r#""4""#, "speeds_kmh.loops: '4' has no unit"),
        (
            r#""blades": 11"#,
            r#""blades": 10.5"#,
            "reel.blades must be a whole number",
        ),
        (
            r#""bench_height_mm""#,
            r#""bench_hight_mm""#,
            "bench_hight_mm is not known",
        ),
        (
            r#""lift_lower_s": 2"#,
            r#""lift_lower_s": -1"#,
            "lift_lower_s is -1 s",
        ),
    ] {
        let all: Vec<String> = with(old, new).iter().map(ToString::to_string).collect();
        assert!(all.iter().any(|t| t.contains(part)), "{part}: {all:?}");
    }
    assert_eq!(faults("[]"), [MowerFault::NotAnObject]);
    assert!(faults(r#"{"units": []}"#).contains(&MowerFault::UnitCount { count: 0 }));
    assert!(matches!(read("", "m"), Err(MowerError::Input(_))));
}
