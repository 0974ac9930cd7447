//! Files written for a small plan, read back by general parsers.

use super::*;
use serde_json::{Value, json};

/// A plan with two stripes, a turn between them, a whole loop, steps and a keep-out.
fn plan() -> String {
    json!({
        "schema": "crossgrain-plan/1",
        "course": "A & B <links>",
        "origin": {"lon": 5.0, "lat": 45.0},
        "mower": {"name": "m", "cutting_width_m": 2.0, "turning_radius_m": 2.0,
            "units": [{"across_m": 0.5, "ahead_m": 0.0, "width_m": 1.0},
                      {"across_m": -0.5, "ahead_m": 0.0, "width_m": 1.0}]},
        "mows": [{
            "fairway": "7", "pattern": "stripes", "heading_deg": 90.0, "sense": "cw",
            "outline": [[[[0, 0], [50, 0], [50, 10], [0, 10], [0, 0]]]],
            "keep_outs": [[[[20, 12], [25, 12], [25, 15], [20, 12]]]],
            "measures": {"minutes": 2.0},
            "tracks": [
                {"reels": "down", "line": [[0, 2], [50, 2]]},
                {"reels": "up", "arc": {"centre": [50, 4], "radius": 2, "from_deg": -90, "sweep_deg": 180}},
                {"reels": "down", "line": [[50, 6], [30, 6]]},
                {"reels": "down", "line": [[30, 6], [10, 6]]},
                {"reels": "up", "line": [[10, 6], [9, 6]]},
                {"reels": "down", "arc": {"centre": [9, 9], "radius": 3, "from_deg": -90, "sweep_deg": 360}},
            ],
            "legs": [
                {"role": "stripe", "index": 0, "tracks": [0, 1], "step": "A", "line": 1},
                {"role": "stripe", "index": 1, "tracks": [2, 4], "step": 1, "line": 2},
                {"role": "lane", "index": 0, "tracks": [5, 6]},
            ],
            "steps": [{"letter": "A"}, {"letter": "B"}],
        }],
    })
    .to_string()
}

fn drives() -> Drives {
    Drives::read(&plan(), "plan.json").unwrap()
}

fn options() -> Options {
    Options {
        tolerance_m: DEFAULT_TOLERANCE_M,
        start: DEFAULT_START.parse().unwrap(),
    }
}

fn written(format: Format) -> (Export, String) {
    let e = export(&drives(), format, &options()).unwrap();
    // The same plan gives the same bytes.
    assert_eq!(e, export(&drives(), format, &options()).unwrap());
    let text = String::from_utf8_lossy(&e.bytes).into_owned();
    (e, text)
}

#[test]
fn a_plan_is_taken_apart() {
    let d = drives();
    assert_eq!(
        (d.course.as_str(), d.cutting_width_m),
        ("A & B <links>", 2.0)
    );
    let m = &d.mows[0];
    let kinds: Vec<_> = m.runs.iter().map(|r| (r.is_pass(), r.number)).collect();
    assert_eq!(
        kinds,
        [(true, 1), (false, 1), (true, 2), (false, 2), (true, 3)]
    );
    assert_eq!(m.runs[0].step.as_deref(), Some("A"));
    assert_eq!(m.runs[2].step.as_deref(), Some("B"));
    assert_eq!((m.runs[2].line, m.runs[4].line), (Some(2), None));
    assert!(m.runs[2].is_straight() && !m.runs[4].is_straight());
    // Two lines in a row are one pass of three points.
    assert_eq!(m.runs[2].points(0.01).len(), 3);
    assert_eq!(m.seconds, 120.0);
    let last = m.runs.last().unwrap();
    assert!((last.from_s + last.seconds - 120.0).abs() < 1e-9);
}

#[test]
fn chords_stay_within_the_tolerance() {
    let loop_ = &drives().mows[0].runs[4];
    for tolerance_m in [0.001, 0.01, 0.5] {
        for w in loop_.points(tolerance_m).windows(2) {
            let mid = ((w[0].x + w[1].x) / 2.0 - 9.0, (w[0].y + w[1].y) / 2.0 - 9.0);
            let off = 3.0 - mid.0.hypot(mid.1);
            assert!((-1e-9..=tolerance_m + 1e-9).contains(&off), "{off}");
        }
    }
}

#[test]
fn gpx_has_routes_and_one_track() {
    let (e, text) = written(Format::Gpx);
    assert_eq!(text.matches("<rte>").count(), 3);
    assert_eq!(text.matches("<trk>").count(), 1);
    assert_eq!(e.layers[0].count, 3);
    // Times never go back.
    let track = text.split("<trkseg>").nth(1).unwrap();
    let times: Vec<&str> = track
        .split("<time>")
        .skip(1)
        .filter_map(|t| t.split('<').next())
        .collect();
    let times: Vec<Timestamp> = times.iter().map(|t| t.parse().unwrap()).collect();
    assert!(times.is_sorted());
    let whole = times[times.len() - 1].duration_since(times[0]);
    assert_eq!(whole.as_secs(), 120);
}

#[test]
fn long_passes_become_several_routes_that_share_a_point() {
    let mut d = drives();
    let run = &mut d.mows[0].runs[4];
    run.tracks = vec![run.tracks[0]; 12];
    let fine = Options {
        tolerance_m: 0.001,
        ..options()
    };
    let points = run.points(0.001).len();
    let text = String::from_utf8(export(&d, Format::Gpx, &fine).unwrap().bytes).unwrap();
    let routes: Vec<usize> = text
        .split("<rte>")
        .skip(1)
        .map(|r| r.matches("<rtept").count())
        .collect();
    assert!(
        routes.iter().all(|n| (2..=MAX_ROUTE_POINTS).contains(n)),
        "{routes:?}"
    );
    let parts = &routes[2..];
    assert!(parts.len() > 1);
    assert_eq!(parts.iter().sum::<usize>() - (parts.len() - 1), points);
    assert!(text.contains("(2 of "));
}

#[test]
fn kml_says_which_reels_and_when() {
    let (_, text) = written(Format::Kml);
    assert_eq!(text.matches("<LineString>").count(), 5);
    assert_eq!(text.matches("<Polygon>").count(), 2);
    assert_eq!(text.matches("<TimeSpan>").count(), 5);
    assert!(text.contains("<name>A &amp; B &lt;links&gt;</name>"));
}

#[test]
fn geojson_has_a_line_a_pass() {
    let (e, text) = written(Format::GeoJson);
    let v: Value = serde_json::from_str(&text).unwrap();
    let list = v["features"].as_array().unwrap();
    assert_eq!((list.len(), e.layers[0].count), (3, 3));
    assert_eq!(list[1]["properties"]["step"], "B");
    assert_eq!(list[1]["properties"]["heading_deg"], 90.0);
    assert_eq!(list[1]["geometry"]["type"], "LineString");
}

#[test]
fn dxf_keeps_arcs_as_bulges() {
    let (e, text) = written(Format::Dxf);
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    assert_eq!(lines.len() % 2, 0);
    let bulges: Vec<f64> = lines
        .chunks(2)
        .filter(|p| p[0] == "42")
        .map(|p| p[1].parse().unwrap())
        .collect();
    // A half turn in one, a whole loop in two halves: tan(180 deg / 4) each.
    assert_eq!(bulges.len(), 3);
    assert!(bulges.iter().all(|b| (b - 1.0).abs() < 1e-9), "{bulges:?}");
    assert!(text.contains("F7_PASSES_M"));
    assert!((e.layers[0].length_m - (90.0 + 6.0 * std::f64::consts::PI)).abs() < 1e-9);
}

#[test]
fn taskdata_has_lines_and_curves() {
    let (e, text) = written(Format::IsoXml);
    assert_eq!(text.matches("<GPN ").count(), 3);
    assert_eq!(text.matches("C=\"1\" E=\"4\"").count(), 2);
    assert_eq!(text.matches("<PFD ").count(), 1);
    assert!(text.contains("<PFD A=\"PFD-1\" C=\"7\" D=\"500\">"));
    assert_eq!((e.layers[1].count, e.layers[2].count), (2, 1));
    assert_eq!(e.notes.len(), 1);
}

#[cfg(feature = "geopackage")]
#[test]
fn a_geopackage_has_four_layers() {
    let (e, _) = written(Format::GeoPackage);
    assert_eq!(&e.bytes[..15], b"SQLite format 3");
    assert_eq!(&e.bytes[68..72], b"GPKG");
    let counts: Vec<_> = e.layers.iter().map(|l| (l.name, l.count)).collect();
    assert_eq!(
        counts,
        [
            ("fairways", 1),
            ("keep-outs", 1),
            ("passes", 3),
            ("ways", 2)
        ]
    );
}

#[test]
fn a_line_across_the_antimeridian_is_refused_by_name() {
    let text = plan().replace("\"lon\":5.0", "\"lon\":179.9998");
    let d = Drives::read(&text, "plan.json").unwrap();
    let e = export(&d, Format::GeoJson, &options()).unwrap_err();
    assert!(e.to_string().contains("fairway '7'"), "{e}");
    assert!(export(&d, Format::Dxf, &options()).is_ok());
}

#[test]
fn damaged_plans_are_refused() {
    for (from, to) in [
        ("\"lat\":45.0", "\"lat\":95.0"),
        ("\"reels\":\"up\"", "\"reels\":\"sideways\""),
    ] {
        let text = plan().replace(from, to);
        assert_ne!(text, plan());
        assert!(Drives::read(&text, "plan.json").is_err());
    }
    // Legs that point anywhere are left aside.
    let text = plan().replace("\"tracks\":[5,6]", "\"tracks\":[9,2]");
    assert_ne!(text, plan());
    assert_eq!(
        Drives::read(&text, "plan.json").unwrap().mows[0].runs.len(),
        5
    );
}
