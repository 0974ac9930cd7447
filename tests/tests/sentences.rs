//! Every sentence of every sheet against the plan file: the sample course in all patterns with
//! both mowers, and drawn ground, in both languages.

mod strategies;

use crossgrain_core::inside::ground::FairwayBuilder;
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_core::{
    Course, CrossSets, Guide, Heading, LoopTrain, Mow, Mower, Pattern, Sense, Settings, plan,
};
use crossgrain_formats::plan::{Entry, value};
use crossgrain_metrics::measure;
use crossgrain_render::drawing::Drawing;
use crossgrain_render::page::Paper;
use crossgrain_render::sheet::{SheetInput, left_of, sheet};
use crossgrain_render::words::{Language, Words};
use crossgrain_tests::sheet_reader::{Checked, ENGLISH, SPANISH, check};
use crossgrain_tests::two_threads::each;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use std::path::Path;

fn patterns() -> [Pattern; 6] {
    [
        Pattern::Stripes {
            heading: Heading::Fewest,
        },
        Pattern::Cross {
            heading: Heading::Clock {
                from_h: 10.0,
                to_h: 4.0,
            },
            angle_deg: 90.0,
            sets: CrossSets::Both,
        },
        Pattern::Loops(LoopTrain::new(22.0 * 0.3048, Sense::Clockwise)),
        Pattern::Contour {
            guide: Guide::CentreLine,
        },
        Pattern::HalfAndHalf {
            heading: Heading::Along,
        },
        Pattern::Rings {
            sense: Sense::CounterClockwise,
        },
    ]
}

/// A mow of a fairway through plan file and sheet in both languages, read and compared.
fn read_back(course: &Course, i: usize, mower: &Mower, settings: &Settings) -> Checked {
    let f = &course.fairways[i];
    let Ok(mow) = plan(f, mower, settings) else {
        return Checked::default();
    };
    let measures = measure(f, mower, &mow);
    let file = value(
        course,
        mower,
        &[Entry {
            fairway: f,
            mow: &mow,
            measures: &measures,
        }],
    );
    let left = left_of(f, mower, &mow, &measures);
    let mut all = Checked::default();
    for (language, units, tongue) in [
        (Language::English, UnitSystem::Us, &ENGLISH),
        (Language::Spanish, UnitSystem::Metric, &SPANISH),
    ] {
        let words = Words::of(language, units);
        let pages = sheet(&SheetInput {
            left: Some(&left),
            ..SheetInput::new(course, f, mower, &mow, &measures, Paper::Letter, &words)
        });
        let mut one = check(&file["mows"][0], &pages, tongue);
        for fault in &mut one.faults {
            *fault = format!(
                "fairway {}, {}, {}, {}: {fault}",
                f.name(),
                mower.name,
                mow.pattern().word(),
                tongue.code
            );
        }
        all.add(one);
    }
    all
}

/// One fairway of the sample by its place, mown with a bar: the mow, its sheet and its plan file.
fn sample_sheet(place: usize, pattern: Pattern) -> (Mow, Vec<Drawing>, serde_json::Value) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../samples");
    let course = crossgrain_formats::course::open(&root.join("quillback.geojson"))
        .unwrap()
        .course;
    let (mower, f) = (Mower::bar(2.54), &course.fairways[place]);
    let mow = plan(f, &mower, &Settings::new(pattern)).unwrap();
    let measures = measure(f, &mower, &mow);
    let entry = Entry {
        fairway: f,
        mow: &mow,
        measures: &measures,
    };
    let words = Words::of(Language::English, UnitSystem::Us);
    let pages = sheet(&SheetInput::new(
        &course,
        f,
        &mower,
        &mow,
        &measures,
        Paper::Letter,
        &words,
    ));
    let file = value(&course, &mower, &[entry]);
    (mow, pages, file)
}

/// A reader that passes everything would prove nothing: each of these changes to a plan file makes
/// its sheet wrong, and the reader must say so.
#[test]
fn the_reader_finds_what_is_wrong() {
    let (mow, pages, file) = sample_sheet(4, patterns()[0]);
    let right = &file["mows"][0];
    assert!(check(right, &pages, &ENGLISH).faults.is_empty());
    let lines = mow
        .steps()
        .iter()
        .position(|s| s.legs.len() > 3 && s.side.is_some())
        .unwrap();
    let first = mow.steps()[lines].legs.start;
    let wrong = |name: &str, change: &dyn Fn(&mut serde_json::Value)| {
        let mut m = right.clone();
        change(&mut m);
        let found = check(&m, &pages, &ENGLISH).faults;
        assert!(!found.is_empty(), "{name}: not found");
    };
    wrong("the green at the other end", &|m| {
        m["hole_line"].as_array_mut().unwrap().reverse();
    });
    wrong("one line more", &|m| m["legs"][first]["line"] = 77.into());
    wrong("two lines taken the other way about", &|m| {
        let legs = m["legs"].as_array_mut().unwrap();
        let a = legs[first]["line"].clone();
        legs[first]["line"] = legs[first + 1]["line"].clone();
        legs[first + 1]["line"] = a;
    });
    wrong("round something else", &|m| {
        m["steps"][0]["keep_out"] = match m["steps"][0]["keep_out"].as_u64() {
            Some(_) => serde_json::Value::Null,
            None => 0.into(),
        };
    });
    wrong("one ring only", &|m| {
        for leg in m["legs"].as_array_mut().unwrap() {
            if leg["role"] == "clean-up" {
                leg["index"] = 0.into();
            }
        }
    });
    wrong("another part", &|m| m["steps"][lines]["part"] = 5.into());
    wrong("no way on", &|m| {
        m["steps"][lines]["stop_here"] = true.into()
    });
    wrong("a step more", &|m| {
        let steps = m["steps"].as_array_mut().unwrap();
        let mut last = steps[0].clone();
        last["letter"] = "Z".into();
        steps.push(last);
    });
    wrong(
        "mirrored, so that every sense and side turns round",
        &mirrored,
    );
    wrong("more time", &|m| m["measures"]["minutes"] = 500.0.into());
    wrong("nothing missed", &|m| {
        m["measures"]["missed_m2"] = 0.0.into();
        m["measures"]["trim_m2"] = 0.0.into();
    });
}

/// Turns a mow of a plan file left for right.
fn mirrored(m: &mut serde_json::Value) {
    for t in m["tracks"].as_array_mut().unwrap() {
        for p in [0, 1] {
            if t["line"].is_array() {
                t["line"][p][0] = (-t["line"][p][0].as_f64().unwrap()).into();
            }
        }
        if t["arc"].is_object() {
            let a = &mut t["arc"];
            a["centre"][0] = (-a["centre"][0].as_f64().unwrap()).into();
            a["from_deg"] = (180.0 - a["from_deg"].as_f64().unwrap()).into();
            a["sweep_deg"] = (-a["sweep_deg"].as_f64().unwrap()).into();
        }
    }
}

/// The same of rings that lift for what is kept out of.
#[test]
fn the_reader_finds_a_lift_that_is_not_told() {
    let (_, pages, file) = sample_sheet(8, patterns()[5]);
    let right = &file["mows"][0];
    let found = check(right, &pages, &ENGLISH);
    assert!(found.faults.is_empty(), "{:?}", found.faults);
    assert!(found.kinds["gap_ring"] > 0);
    let mut other_thing = right.clone();
    for kind in other_thing["keep_out_kinds"].as_array_mut().unwrap() {
        *kind = "tee".into();
    }
    let mut no_ring_twice = right.clone();
    for (i, leg) in (no_ring_twice["legs"].as_array_mut().unwrap().iter_mut()).enumerate() {
        leg["line"] = i.into();
    }
    let mut anticlockwise = right.clone();
    for ring in anticlockwise["outline"][0].as_array_mut().unwrap() {
        ring.as_array_mut().unwrap().reverse();
    }
    for (name, m) in [
        ("past a tee", other_thing),
        ("no ring goes on", no_ring_twice),
        ("the ground on the other side", anticlockwise),
    ] {
        assert!(
            !check(&m, &pages, &ENGLISH).faults.is_empty(),
            "{name}: not found"
        );
    }
}

/// Jobs on two threads, their findings in the order of the jobs.
fn on_two_threads(jobs: usize, one: impl Fn(usize) -> Checked + Sync) -> Checked {
    let all: Vec<usize> = (0..jobs).collect();
    each(&all, |&i| one(i))
        .into_iter()
        .fold(Checked::default(), |mut all, c| {
            all.add(c);
            all
        })
}

fn told(all: &Checked) -> String {
    let some: Vec<&str> = all.faults.iter().take(40).map(String::as_str).collect();
    format!(
        "{} sentences checked, {} do not hold; steps by kind: {:?}\n{}",
        all.sentences,
        all.faults.len(),
        all.kinds,
        some.join("\n")
    )
}

#[test]
fn every_sentence_of_the_sample_holds() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../samples");
    let course = crossgrain_formats::course::open(&root.join("quillback.geojson"))
        .unwrap()
        .course;
    let mowers = [
        Mower::bar(2.54),
        crossgrain_formats::mower::open(&root.join("light-five.json")).unwrap(),
    ];
    let patterns = patterns();
    let n = course.fairways.len();
    let all = on_two_threads(n * mowers.len() * patterns.len(), |i| {
        let (fairway, rest) = (i % n, i / n);
        let mower = &mowers[rest % mowers.len()];
        read_back(
            &course,
            fairway,
            mower,
            &Settings::new(patterns[rest / mowers.len()]),
        )
    });
    println!("{}", told(&all));
    assert!(all.faults.is_empty(), "{}", told(&all));
    assert!(all.sentences >= 1900, "{} sentences", all.sentences);
    // Every kind of sentence has been met, but for the stop where no way on was found.
    for kind in [
        "circuit",
        "next",
        "every",
        "halves",
        "one",
        "lanes",
        "rings",
        "patch",
        "places",
        "gap_round",
        "gap_straight",
        "gap_ring",
    ] {
        assert!(
            all.kinds.contains_key(kind),
            "no '{kind}' in {:?}",
            all.kinds
        );
    }
}

#[test]
fn every_sentence_on_drawn_ground_holds() {
    // PROPTEST_CASES draws more; the gate draws 200.
    let cases = std::env::var("PROPTEST_CASES")
        .ok()
        .and_then(|v| v.parse().ok())
        .unwrap_or(40);
    let seed = TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]);
    let mut runner = TestRunner::new_with_rng(Config::default(), seed);
    let specs: Vec<_> = (0..cases)
        .map(|_| strategies::specs().new_tree(&mut runner).unwrap().current())
        .collect();
    let patterns = patterns();
    let all = on_two_threads(cases, |i| {
        let parts = specs[i].draw();
        // Every third has no hole line.
        let parts = FairwayBuilder {
            hole_line: parts.hole_line.clone().filter(|_| i % 3 != 0),
            ..parts
        };
        let Ok((f, _)) = parts.build_and_tell() else {
            return Checked::default();
        };
        let course = Course {
            name: "drawn".into(),
            origin_lon_deg: 0.0,
            origin_lat_deg: 0.0,
            fairways: vec![f],
            features: Vec::new(),
        };
        // Two patterns a ground, with no, one or two clean-up passes.
        let mut all = Checked::default();
        for k in [i, i + 3] {
            let mut settings = Settings::new(patterns[k % patterns.len()]);
            settings.clean_up.rings = (k / 2 % 3) as u32;
            all.add(read_back(&course, 0, &Mower::bar(2.54), &settings));
        }
        all
    });
    println!("{}", told(&all));
    assert!(all.faults.is_empty(), "{}", told(&all));
    assert!(all.sentences > 25 * cases, "{} sentences", all.sentences);
}
