//! Bad input through the built command: every case gets exit code 2 and a text that names the
//! file, the feature and the coordinate, and says what to do. The texts are kept in
//! `tests/stored/bad_input.txt`; `CROSSGRAIN_BLESS=1 cargo test --test bad_input` writes them
//! anew, to be read before they are committed.

#[path = "support/bad_days.rs"]
mod bad_days;
mod support;

use std::fmt::Write;
use std::fs;
use std::path::Path;
use support::{code, collection, fairway, feature, ring, run, stderr, stdout};

/// Name, files to write, arguments.
struct Case {
    name: &'static str,
    files: Vec<(&'static str, Vec<u8>)>,
    args: Vec<&'static str>,
}

fn course(name: &'static str, text: impl Into<Vec<u8>>) -> Case {
    Case {
        name,
        files: vec![("c.geojson", text.into())],
        args: vec!["plan", "c.geojson"],
    }
}

fn with_args(name: &'static str, args: &[&'static str]) -> Case {
    let mut case = course(name, collection(&[fairway("\"7\"")]));
    case.args.extend(args);
    case
}

fn mower(name: &'static str, text: &str) -> Case {
    let mut case = with_args(name, &["--mower", "m.json"]);
    case.files.push(("m.json", text.as_bytes().to_vec()));
    case
}

/// A course file of another format.
fn other(name: &'static str, file: &'static str, content: impl Into<Vec<u8>>) -> Case {
    Case {
        name,
        files: vec![(file, content.into())],
        args: vec!["check", file],
    }
}

/// A recorded drive with these positions north of 45 N, 5 E, in millionths of a degree.
fn drive(name: &'static str, positions: &[(i32, i32)]) -> Case {
    let mut text = "latitude,longitude\n".to_string();
    for (lat, lon) in positions {
        let _ = writeln!(text, "45.{lat:06},5.{lon:06}");
    }
    Case {
        name,
        files: vec![("t.csv", text.into())],
        args: vec!["outline", "t.csv", "--name", "7"],
    }
}

/// A shapefile of one polygon, as the format's white paper draws it.
fn shapefile(points: &[[f64; 2]]) -> Vec<u8> {
    let mut content = 5_i32.to_le_bytes().to_vec();
    content.extend([0; 32]);
    content.extend(1_i32.to_le_bytes());
    content.extend((points.len() as i32).to_le_bytes());
    content.extend(0_i32.to_le_bytes());
    for p in points {
        content.extend(p[0].to_le_bytes());
        content.extend(p[1].to_le_bytes());
    }
    let words = |bytes: usize| ((bytes / 2) as i32).to_be_bytes();
    let mut out = 9994_i32.to_be_bytes().to_vec();
    out.extend([0; 20]);
    out.extend(words(108 + content.len()));
    out.extend(1000_i32.to_le_bytes());
    out.extend(5_i32.to_le_bytes());
    out.extend([0; 64]);
    out.extend(1_i32.to_be_bytes());
    out.extend(words(content.len()));
    out.extend(content);
    out
}

/// Files of other programs, damaged, hostile or of the wrong kind.
fn files_of_others() -> Vec<Case> {
    let square = [[5.0, 45.0], [5.0, 45.001], [5.001, 45.001], [5.0, 45.0]];
    let metres = square.map(|p| [p[0] * 1e5, p[1] * 1e5]);
    let mut lying = shapefile(&square);
    lying[144..148].copy_from_slice(&i32::MAX.to_le_bytes());
    let mut old_datum = other("a shapefile on an old datum", "c.shp", shapefile(&metres));
    old_datum.files.push((
        "c.prj",
        b"PROJCS[\"NAD_1927_UTM_Zone_11N\",GEOGCS[\"GCS_North_American_1927\",DATUM[\"D_North_American_1927\",SPHEROID[\"Clarke_1866\",6378206.4,294.9786982]],PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0.0174532925199433]],PROJECTION[\"Transverse_Mercator\"],UNIT[\"Meter\",1.0]]".to_vec(),
    ));
    let mut database = b"SQLite format 3\0".to_vec();
    database.resize(4096, 0);
    let position =
        "<kml><Placemark><Point><coordinates>45 N, 5 E</coordinates></Point></Placemark></kml>";
    vec![
        other(
            "XML with definitions of its own",
            "c.kml",
            "<!DOCTYPE kml [<!ENTITY a \"aaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;\">]><kml>&b;</kml>",
        ),
        other(
            "XML nested too deep",
            "c.kml",
            format!("<kml>{}", "<Folder>".repeat(5000)),
        ),
        other(
            "XML that is not well-formed",
            "c.kml",
            "<kml>\n<Document>\n</kml>",
        ),
        other("a KML position in words", "c.kml", position),
        other(
            "a GPX position out of range",
            "c.gpx",
            "<gpx>\n<wpt lat=\"95\" lon=\"5\"/></gpx>",
        ),
        other("a part of a shapefile", "c.dbf", b"\x03~\x01\x01".to_vec()),
        other("a web page", "c.kml", "<html><body>Sign in</body></html>"),
        other("a drawing", "c.dwg", b"AC1032\0\0\0\0".to_vec()),
        other(
            "an archive cut short",
            "c.zip",
            b"PK\x03\x04 and no more".to_vec(),
        ),
        other("a database that is no GeoPackage", "c.gpkg", database),
        other("a shapefile with a lying length", "c.shp", lying),
        other(
            "a shapefile in metres of an unknown system",
            "c.shp",
            shapefile(&metres),
        ),
        old_datum,
    ]
}

/// The same case, asked another way.
fn named(mut case: Case, args: &[&'static str]) -> Case {
    case.args = args.to_vec();
    case
}

/// Roles, exports and recorded drives.
fn other_commands() -> Vec<Case> {
    let plan = br#"{"schema": "crossgrain-plan/0"}"#.to_vec();
    let round: Vec<(i32, i32)> = (0..40)
        .map(|i| f64::from(i) / 40.0 * std::f64::consts::TAU)
        .map(|t| {
            (
                (300.0 + 200.0 * t.sin()) as i32,
                (300.0 + 200.0 * t.cos()) as i32,
            )
        })
        .collect();
    vec![
        named(
            course("a role that is not said like one", ""),
            &["check", "c.geojson", "--role", "bunker"],
        ),
        named(
            other("a plan of another schema", "plan.json", plan.clone()),
            &["export", "plan.json", "--as", "gpx"],
        ),
        named(
            other("an unknown format", "plan.json", plan.clone()),
            &["export", "plan.json", "--as", "pdf"],
        ),
        named(
            other("a start without its offset", "plan.json", plan),
            &["export", "plan.json", "--as", "gpx", "--start", "5am"],
        ),
        drive(
            "a drive that does not come back",
            &(0..40).map(|i| (20 * i, 0)).collect::<Vec<_>>(),
        ),
        drive(
            "a drive of three positions",
            &[(0, 0), (100, 0), (100, 100)],
        ),
        named(
            drive("a role that no area has", &round),
            &["outline", "t.csv", "--name", "7", "--as-role", "hole"],
        ),
        named(
            drive("an offset larger than the area", &round),
            &["outline", "t.csv", "--name", "7", "--offset", "-19m"],
        ),
        named(
            other("no recorded drive", "t.csv", "a,b\n1,2\n"),
            &["outline", "t.csv", "--name", "7"],
        ),
        named(
            other("a damaged line", "t.csv", "lat,lon\n45,5\n45,east\n"),
            &["outline", "t.csv", "--name", "7"],
        ),
    ]
}

fn cases() -> Vec<Case> {
    let mut all = not_geojson();
    all.extend(roles());
    all.extend(coordinates());
    all.extend(option_cases());
    all.extend(mower_cases());
    all.extend(files_of_others());
    all.extend(other_commands());
    all.extend(bad_days::bad_days().into_iter().map(|(name, files, args)| {
        Case {
            name,
            files: (files.into_iter())
                .map(|(file, text)| (file, text.into_bytes()))
                .collect(),
            args,
        }
    }));
    all
}

/// A pond with these rings.
fn lake(coordinates: &str) -> String {
    feature(
        r#"{"role":"keep-out","kind":"water","name":"lake"}"#,
        "Polygon",
        &format!("[{coordinates}]"),
    )
}

/// Files that are no course at all.
fn not_geojson() -> Vec<Case> {
    vec![
        Case {
            name: "no such file",
            files: vec![],
            args: vec!["plan", "missing.geojson"],
        },
        course("an empty file", ""),
        course("not JSON", "fairways: 7"),
        course("XML", "<kml/>"),
        course("cut short", &collection(&[fairway("\"7\"")])[..60]),
        course("not text", vec![b'{', 0xff, 0xfe]),
        course("nested too deep", "[".repeat(500)),
        course("JSON but not GeoJSON", r#"{"fairways": []}"#),
    ]
}

/// Features and their roles.
fn roles() -> Vec<Case> {
    vec![
        course(
            "no features",
            r#"{"type":"FeatureCollection","features":[]}"#,
        ),
        course(
            "no fairway",
            collection(&[lake("[[5,45],[5.001,45],[5.001,45.001],[5,45]]")]),
        ),
        course(
            "an unknown role",
            collection(&[fairway("\"7\"").replace("fairway", "fairwy")]),
        ),
        course(
            "a crossing outline",
            collection(&[ring(
                "[[5,45.001],[5.001,45.002],[5.001,45.001],[5,45.002],[5,45.001]]",
            )]),
        ),
        course(
            "nearly an open tag",
            collection(&[
                fairway("\"7\""),
                lake("[[5,45],[5.0001,45],[5,45.0001],[5,45]]").replace(
                    r#""role":"keep-out","kind":"water""#,
                    r#""golf":"Bunker""#,
                ),
            ]),
        ),
        course(
            "areas without roles",
            collection(&[
                fairway("\"7\"").replace("role", "what"),
                fairway("\"8\"").replace("role", "what"),
            ]),
        ),
        course(
            "a whole course in a map grid",
            collection(
                &(0..9)
                    .map(|i| {
                        ring(&format!(
                            "[[5000{i}0,4984000],[5001{i}0,4984000],[5001{i}0,4984050],[5000{i}0,4984000]]"
                        ))
                    })
                    .collect::<Vec<_>>(),
            ),
        ),
    ]
}

/// Rings and their coordinates.
fn coordinates() -> Vec<Case> {
    vec![
        course(
            "an unclosed ring",
            collection(&[ring("[[5,45],[5.001,45],[5.001,45.001],[5,45.001]]")]),
        ),
        course(
            "a ring of three positions",
            collection(&[ring("[[5,45],[5.001,45],[5,45]]")]),
        ),
        course(
            "a flat outline",
            collection(&[ring("[[5,45],[5,45.001],[5,45.002],[5,45]]")]),
        ),
        course(
            "NaN",
            collection(&[ring("[[5,45],[NaN,45],[5.001,45.001],[5,45]]")]),
        ),
        course(
            "a number as text",
            collection(&[ring("[[5,45],[\"5.001\",45],[5.001,45.001],[5,45]]")]),
        ),
        course(
            "a number beyond all bounds",
            collection(&[ring("[[5,45],[1e999,45],[5.001,45.001],[5,45]]")]),
        ),
        course(
            "a latitude out of range",
            collection(&[ring("[[5,45],[5.001,95],[5.001,45.001],[5,45]]")]),
        ),
        course(
            "latitude before longitude",
            collection(&[ring(
                "[[45,-121],[45.001,-121],[45.001,-121.001],[45,-121]]",
            )]),
        ),
        course(
            "metres of a map grid",
            collection(&[ring(
                "[[500000,4984000],[500100,4984000],[500100,4984050],[500000,4984000]]",
            )]),
        ),
        course(
            "metres small enough to be degrees",
            collection(&[ring("[[0,0],[80,0],[80,30],[0,30],[0,0]]")]),
        ),
        course(
            "another coordinate system",
            collection(&[fairway("\"7\"")]).replacen(
                '{',
                r#"{"crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::25832"}},"#,
                1,
            ),
        ),
        course(
            "a keep-out over the whole fairway",
            collection(&[
                fairway("\"7\""),
                lake("[[4.99,44.99],[5.01,44.99],[5.01,45.01],[4.99,45.01],[4.99,44.99]]"),
            ]),
        ),
        course(
            "two problems at once",
            collection(&[
                ring("[[5,45],[5.001,45],[5.001,45.001],[5,45.001]]"),
                ring("[[5,45],[5.001,95],[5.001,45.001],[5,45]]"),
            ]),
        ),
    ]
}

/// Options that make no sense, each on a sound course.
const OPTIONS: &[(&str, &[&str])] = &[
    ("a deck without a unit", &["--deck", "100"]),
    ("a deck in an unknown unit", &["--deck", "25hands"]),
    ("a deck of nothing", &["--deck", "0in"]),
    ("a deck below nothing", &["--deck", "-100in"]),
    ("a deck larger than sense", &["--deck", "1000ft"]),
    ("an overlap of nothing", &["--overlap", "0in"]),
    ("an overlap below nothing", &["--overlap", "-4in"]),
    ("an overlap wider than the deck", &["--overlap", "120in"]),
    (
        "a loop diameter without a unit",
        &["--pattern", "loops", "--loop-diameter", "22"],
    ),
    (
        "a loop range the wrong way",
        &["--pattern", "loops", "--loop-diameter", "22ft-20ft"],
    ),
    ("an unknown pattern", &["--pattern", "spirals"]),
    ("an unknown heading", &["--heading", "north"]),
    ("hours that are not opposite", &["--heading", "10-5"]),
    ("an unknown paper", &["--paper", "foolscap"]),
    ("unknown units", &["--units", "imperial"]),
    ("an unknown language", &["--language", "fr"]),
    ("too many clean-up passes", &["--cleanup", "1000"]),
    ("a fairway that is not there", &["--only", "7,8"]),
    ("numbers that run backwards", &["--only", "9-4"]),
    ("all left out", &["--except", "7"]),
    ("no way to turn round", &["--reverse", "7"]),
    ("positions in no order", &["--positions", "north"]),
    (
        "bare polygons as something else",
        &["--bare-polygons", "greens"],
    ),
    (
        "deck and mower at once",
        &["--deck", "100in", "--mower", "m.json"],
    ),
    ("no such mower file", &["--mower", "m.json"]),
    ("a file where the folder should be", &["--out", "c.geojson"]),
    ("a folder inside a file", &["--out", "c.geojson/out"]),
];

fn option_cases() -> Vec<Case> {
    OPTIONS
        .iter()
        .map(|(name, args)| with_args(name, args))
        .collect()
}

fn mower_cases() -> Vec<Case> {
    let unit = |across: &str, ahead: &str, width: &str| {
        format!(r#"{{"across_m":{across},"ahead_m":{ahead},"width_m":{width}}}"#)
    };
    let units = |list: &[String]| {
        format!(
            r#"{{"name":"m","units":[{}],"turning_radius_m":2,"speeds_kmh":{{"mowing":8}}}}"#,
            list.join(",")
        )
    };
    vec![
        mower("a mower without units", r#"{"name":"m"}"#),
        mower(
            "a gap between units",
            &units(&[unit("0.6", "0", "\"20in\""), unit("-0.6", "0", "\"20in\"")]),
        ),
        mower(
            "units in each other",
            &units(&[unit("0.4", "0", "1"), unit("-0.4", "0.05", "1")]),
        ),
        mower(
            "a unit behind another",
            &units(&[unit("0", "1", "2"), unit("0.2", "0", "1")]),
        ),
        mower("a negative width", &units(&[unit("0", "0", "-2")])),
        mower("a huge width", &units(&[unit("0", "0", "1e12")])),
        mower(
            "a length without a unit",
            &units(&[unit("0", "0", "\"100\"")]),
        ),
        mower(
            "no speeds",
            &units(&[unit("0", "0", "2")]).replace("speeds_kmh", "pace"),
        ),
    ]
}

#[test]
fn every_bad_input_is_refused_with_a_text_that_helps() {
    let mut all = String::new();
    for case in cases() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        for (name, content) in &case.files {
            fs::write(folder.path().join(name), content).expect("the case's file");
        }
        let out = run(folder.path(), &case.args);
        let text = stderr(&out);
        assert_eq!(code(&out), 2, "{}: {text}", case.name);
        assert!(stdout(&out).is_empty(), "{}", case.name);
        assert!(!text.contains("panicked"), "{}: {text}", case.name);
        // Nothing half done is left behind.
        assert!(
            !folder.path().join("out/plan.json").exists(),
            "{}",
            case.name
        );
        let _ = write!(
            all,
            "## {}\n$ crossgrain {}\n{}\n\n",
            case.name,
            case.args.join(" "),
            text.trim_end()
        );
    }
    // The system words its reasons in its own way.
    #[cfg(target_os = "linux")]
    stored("bad_input.txt", &all);
}

/// Compares with the stored text, or writes it when asked to.
fn stored(name: &str, text: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../tests/stored")
        .join(name);
    if std::env::var_os("CROSSGRAIN_BLESS").is_some() {
        fs::write(&path, text).expect("the stored text is written");
        return;
    }
    let old = fs::read_to_string(&path).unwrap_or_default();
    for (a, b) in old.split("\n\n").zip(text.split("\n\n")) {
        assert_eq!(a, b, "stored text (left) and text now (right) differ");
    }
    assert_eq!(old, text);
}

#[test]
fn a_fairway_narrower_than_the_deck_needs_a_look() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let narrow = ring("[[5,45],[5.001,45],[5.001,45.00001],[5,45.00001],[5,45]]");
    fs::write(folder.path().join("c.geojson"), collection(&[narrow])).expect("the course");
    let out = run(folder.path(), &["plan", "c.geojson"]);
    assert_eq!(code(&out), 1, "{}", stderr(&out));
    assert!(
        stderr(&out).contains("narrower than the deck"),
        "{}",
        stderr(&out)
    );
    assert!(stderr(&out).contains("--deck"), "{}", stderr(&out));
    let out = run(folder.path(), &["check", "c.geojson"]);
    assert_eq!(code(&out), 1, "{}", stderr(&out));
}

#[test]
fn a_keep_out_outside_is_no_fault() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let pond = feature(
        r#"{"natural":"water"}"#,
        "Polygon",
        "[[[5.003,45],[5.004,45],[5.004,45.001],[5.003,45]]]",
    );
    fs::write(
        folder.path().join("c.geojson"),
        collection(&[fairway("\"7\""), pond]),
    )
    .expect("the course");
    let out = run(folder.path(), &["check", "c.geojson"]);
    assert_eq!(code(&out), 0, "{}", stderr(&out));
}

#[test]
fn repairs_are_told_and_the_work_is_done() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    // Clockwise, a point twice, a spike.
    let untidy = ring(
        "[[5,45],[5,45.0004],[5,45.0004],[5.0007,45.0004],[5.0007,45.0006],[5.0007,45.0004],[5.0015,45.0004],[5.0015,45],[5,45]]",
    );
    fs::write(folder.path().join("c.geojson"), collection(&[untidy])).expect("the course");
    let out = run(folder.path(), &["check", "c.geojson"]);
    let text = stdout(&out);
    assert_eq!(code(&out), 0, "{text}");
    for part in ["wrong way round", "on top of another", "out and back"] {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert!(
        text.contains("features[0] '7', ring 0, position 4 at [5.0007000, 45.0006000]"),
        "{text}"
    );
}

#[test]
fn names_cannot_leave_the_folder_or_run() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let names = [
        r#""../../../evil""#,
        r#""<script>alert(1)</script>""#,
        r#""C:\\con""#,
        r#""a\u202etxt.exe\u0000""#,
        r#""\u0645\u0631\u062d\u0628\u0627""#,
        r#""'\"&amp;""#,
    ];
    for (i, name) in names.iter().enumerate() {
        let work = folder.path().join(format!("w{i}/deep"));
        fs::create_dir_all(&work).expect("a folder");
        fs::write(work.join("c.geojson"), collection(&[fairway(name)])).expect("the course");
        let out = run(&work, &["plan", "c.geojson", "--out", "o"]);
        assert!(code(&out) < 2, "{}", stderr(&out));
        assert!(!stderr(&out).contains('\u{202e}'));
        let mut seen: Vec<String> = Vec::new();
        for e in fs::read_dir(work.join("o")).expect("the folder") {
            let path = e.expect("an entry").path();
            let name = path
                .file_name()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            if name.ends_with(".svg") {
                let svg = fs::read_to_string(&path).expect("a sheet");
                assert!(!svg.contains("<script"), "{name}");
                assert!(!svg.contains('\u{202e}'), "{name}");
            }
            seen.push(name);
        }
        seen.sort();
        assert!(seen.iter().any(|n| n == "plan.json"), "{seen:?}");
        assert!(
            seen.iter().all(|n| !n.contains(['/', '\\', ':', '<', '"'])),
            "{seen:?}"
        );
        // Nothing beside the course and the folder, here or above.
        assert_eq!(fs::read_dir(&work).expect("the folder").count(), 2);
        assert_eq!(
            fs::read_dir(work.join("..")).expect("the folder").count(),
            1
        );
    }
}

#[cfg(unix)]
#[test]
fn links_in_the_folder_are_left_alone() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    fs::write(
        folder.path().join("c.geojson"),
        collection(&[fairway("\"7\"")]),
    )
    .expect("course");
    fs::write(folder.path().join("precious"), "precious").expect("a file");
    fs::create_dir(folder.path().join("out")).expect("a folder");
    std::os::unix::fs::symlink(
        folder.path().join("precious"),
        folder.path().join("out/plan.json"),
    )
    .expect("a link");
    let out = run(folder.path(), &["plan", "c.geojson"]);
    assert_eq!(code(&out), 2);
    assert!(
        stderr(&out).contains("a link stands there"),
        "{}",
        stderr(&out)
    );
    assert_eq!(
        fs::read_to_string(folder.path().join("precious")).expect("the file"),
        "precious"
    );
}
