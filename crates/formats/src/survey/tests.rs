//! Drives round a block of 120 m by 40 m near 45 N, 5 E, sound and not.

use super::*;
use geo_types::Coord;

fn plane() -> Plane {
    Plane::new([5.0, 45.0]).unwrap()
}

/// Points every two metres along the block's edge, anticlockwise, for a distance.
fn along(long_m: f64) -> Vec<(f64, f64)> {
    let at = |s: f64| {
        let s = s.rem_euclid(320.0);
        match s {
            s if s < 120.0 => (s, 0.0),
            s if s < 160.0 => (120.0, s - 120.0),
            s if s < 280.0 => (280.0 - s, 40.0),
            s => (0.0, 320.0 - s),
        }
    };
    (0..=(long_m / 2.0) as usize)
        .map(|i| at(2.0 * i as f64))
        .collect()
}

fn gpx(points: &[(f64, f64)]) -> String {
    let mut out = "<gpx version=\"1.1\"><trk><trkseg>".to_string();
    for (i, p) in points.iter().enumerate() {
        let [lon, lat] = plane().lon_lat(Coord { x: p.0, y: p.1 }).position();
        out.push_str(&format!(
            "<trkpt lat=\"{lat:.9}\" lon=\"{lon:.9}\"><time>2026-05-01T06:{:02}:{:02}Z</time></trkpt>",
            i / 60,
            i % 60
        ));
    }
    out + "</trkseg></trk></gpx>"
}

fn made(points: &[(f64, f64)], settings: &Settings) -> Result<Outline, SurveyError> {
    outline(&parse(gpx(points).into_bytes(), "t.gpx").unwrap(), settings)
}

#[test]
fn a_clean_drive_gives_the_block() {
    let o = made(&along(460.0), &Settings::default()).unwrap();
    assert!((o.area_m2 - 4800.0).abs() < 1.0, "{}", o.area_m2);
    assert!(o.area_low_m2 <= 4800.0 && 4800.0 <= o.area_high_m2);
    assert!((o.overlap_m - 140.0).abs() < 3.0, "{}", o.overlap_m);
    assert_eq!(o.error_from, ErrorFrom::Overlap);
    assert!(o.error_m < 0.01);
    // Simplified to its corners.
    assert!(o.ring.len() < 10, "{}", o.ring.len());
    assert_eq!(o.ring.first(), o.ring.last());
}

#[test]
fn the_edge_lies_off_the_antenna() {
    for offset_m in [1.2, -1.2] {
        let settings = Settings {
            offset_m,
            ..Settings::default()
        };
        let o = made(&along(320.0), &settings).unwrap();
        let square = 4800.0 + 320.0 * offset_m;
        let corners = if offset_m > 0.0 {
            std::f64::consts::PI
        } else {
            4.0
        };
        let want = square + corners * offset_m * offset_m;
        assert!(
            (o.area_m2 - want).abs() < 0.03 * 320.0,
            "{} {want}",
            o.area_m2
        );
    }
    let all = Settings {
        offset_m: -50.0,
        ..Settings::default()
    };
    assert!(matches!(
        made(&along(320.0), &all),
        Err(SurveyError::NoArea)
    ));
}

#[test]
fn jumps_and_rests_are_taken_out() {
    let mut points = along(420.0);
    points[40] = (900.0, 900.0);
    points[41] = (905.0, 900.0);
    let rest = points[80];
    for i in 0..40 {
        let wobble = 0.3 * f64::from(i % 3);
        points.insert(80, (rest.0 + wobble, rest.1 - wobble));
    }
    let o = made(&points, &Settings::default()).unwrap();
    assert_eq!(o.jumps, 2);
    assert!((35..50).contains(&o.still), "{}", o.still);
    assert!((o.area_m2 - 4800.0).abs() < 15.0, "{}", o.area_m2);
}

#[test]
fn what_makes_no_outline_has_a_reason() {
    let text = |points: &[(f64, f64)]| made(points, &Settings::default()).unwrap_err().to_string();
    assert!(text(&along(200.0)).contains("ends"));
    assert!(text(&along(8.0)).contains("usable positions"));
    let mut lost = along(420.0);
    lost.drain(20..55);
    assert!(text(&lost).contains("missing at [5.0"), "{}", text(&lost));
    // There and back along one line.
    let mut back: Vec<(f64, f64)> = (0..60).map(|i| (2.0 * f64::from(i), 0.0)).collect();
    back.extend((0..60).rev().map(|i| (2.0 * f64::from(i), 0.1)));
    assert!(text(&back).contains("no area"), "{}", text(&back));
    // A figure of eight.
    let mut eight: Vec<(f64, f64)> = Vec::new();
    for i in 0..400 {
        let t = 0.8 + f64::from(i) / 390.0 * std::f64::consts::TAU;
        eight.push((60.0 * t.sin(), 60.0 * t.sin() * t.cos()));
    }
    assert!(text(&eight).contains("crosses itself"), "{}", text(&eight));
}

#[test]
fn a_short_gap_is_bridged_and_told() {
    let mut points = along(420.0);
    points.drain(20..32);
    let o = made(&points, &Settings::default()).unwrap();
    assert_eq!(o.bridged_m.len(), 1);
    assert!((o.bridged_m[0] - 26.0).abs() < 0.1);
}

/// A sentence with its checksum.
fn sentence(body: &str) -> String {
    let sum = body.bytes().fold(0, |a, b| a ^ b);
    format!("${body}*{sum:02X}\r\n")
}

#[test]
fn nmea_tells_place_time_and_quality() {
    // The example that handbooks of receivers print (from memory): 48 deg 07.038 min N.
    let text = sentence("GPGGA,123519,4807.038,N,01131.000,E,4,08,0.9,545.4,M,46.9,M,,")
        + &sentence("GPGGA,123520,4807.038,S,01131.000,W,0,00,,,M,,M,,")
        + "$GPGGA,123521,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*00\r\n"
        + &sentence("GPRMC,235959,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W");
    let d = parse(text.into_bytes(), "t.nmea").unwrap();
    assert_eq!((d.fixes.len(), d.unusable), (1, 2));
    let f = d.fixes[0];
    assert!((f.lat_deg - 48.1173).abs() < 1e-9 && (f.lon_deg - 11.516_666_666).abs() < 1e-8);
    assert_eq!(f.time_s, Some(45319.0));
    assert_eq!(f.error_m, Some(0.02));
    let text = sentence("GPRMC,235959,A,4807.038,N,01131.000,E,1,2,230394,,")
        + &sentence("GPRMC,000001,A,4807.038,S,01131.000,W,1,2,240394,,")
        + &sentence("GPRMC,000002,V,,,,,,,240394,,");
    let d = parse(text.into_bytes(), "t.nmea").unwrap();
    assert_eq!((d.fixes.len(), d.unusable), (2, 1));
    // Over midnight.
    assert_eq!(d.fixes[1].time_s, Some(86_401.0));
    assert!(d.fixes[1].lat_deg < 0.0 && d.fixes[1].lon_deg < 0.0);
}

#[test]
fn csv_is_read_by_the_names_of_its_columns() {
    let d = parse(b"Time,Latitude,Longitude,Accuracy (m)\n2026-05-01T06:00:00Z,45.0,5.0,3.02\n\n2026-05-01T06:00:01Z,,,\n".to_vec(), "t.csv").unwrap();
    assert_eq!((d.fixes.len(), d.unusable), (1, 1));
    assert!((d.fixes[0].error_m.unwrap() - 2.0).abs() < 1e-9);
    let d = parse(b"lat;lng\n45,5;5,25\n".to_vec(), "t.csv").unwrap();
    assert_eq!((d.fixes[0].lat_deg, d.fixes[0].lon_deg), (45.5, 5.25));
    let bad = |t: &str| {
        parse(t.as_bytes().to_vec(), "t.csv")
            .unwrap_err()
            .to_string()
    };
    assert!(bad("lat,lon\n45,x\n").contains("line 2"));
    assert!(bad("lat,lon\n95,5\n").contains("out of range"));
    assert!(bad("a,b\n1,2\n").contains("no recorded drive"));
    assert!(bad("").contains("no recorded drive"));
    assert!(bad("<kml/>").contains("GPX"));
}
