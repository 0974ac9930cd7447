//! Every sentence of every sheet against the plan file: the sample course in all patterns with
//! both mowers, and drawn ground, in both languages.

mod strategies;

use crossgrain_core::ground::{FairwayParts, fairway};
use crossgrain_core::model::pattern::{CrossSets, Guide, Heading, LoopTrain};
use crossgrain_core::model::units::UnitSystem;
use crossgrain_core::{Course, Mower, Pattern, Sense, Settings, plan};
use crossgrain_formats::plan::{Entry, value};
use crossgrain_metrics::measure;
use crossgrain_render::page::Paper;
use crossgrain_render::sheet::{SheetInput, left_of, sheet};
use crossgrain_render::words::{Language, Words};
use crossgrain_tests::sheet_reader::{Checked, ENGLISH, SPANISH, check};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

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
        let one = check(&file["mows"][0], &pages, tongue);
        all.sentences += one.sentences;
        all.faults.extend(one.faults.into_iter().map(|fault| {
            format!(
                "fairway {}, {}, {}, {}: {fault}",
                f.name,
                mower.name,
                mow.pattern.word(),
                tongue.code
            )
        }));
    }
    all
}

/// Jobs on two threads, their findings in the order of the jobs.
fn on_two_threads(jobs: usize, one: impl Fn(usize) -> Checked + Sync) -> Checked {
    let next = AtomicUsize::new(0);
    let found: Mutex<Vec<(usize, Checked)>> = Mutex::new(Vec::new());
    std::thread::scope(|s| {
        for _ in 0..2 {
            s.spawn(|| {
                loop {
                    let i = next.fetch_add(1, Ordering::Relaxed);
                    if i >= jobs {
                        return;
                    }
                    let c = one(i);
                    found.lock().unwrap().push((i, c));
                }
            });
        }
    });
    let mut found = found.into_inner().unwrap();
    found.sort_by_key(|f| f.0);
    found
        .into_iter()
        .fold(Checked::default(), |mut all, (_, c)| {
            all.sentences += c.sentences;
            all.faults.extend(c.faults);
            all
        })
}

fn told(all: &Checked) -> String {
    let some: Vec<&str> = all.faults.iter().take(12).map(String::as_str).collect();
    format!(
        "{} of {} sentences do not hold:\n{}",
        all.faults.len(),
        all.sentences,
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
    println!("{} sentences", all.sentences);
    assert!(all.faults.is_empty(), "{}", told(&all));
    assert!(all.sentences >= 1500, "{} sentences", all.sentences);
}

#[test]
fn every_sentence_on_drawn_ground_holds() {
    // The gate draws more: PROPTEST_CASES=200.
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
        let parts = FairwayParts {
            hole_line: parts.hole_line.clone().filter(|_| i % 3 != 0),
            ..parts
        };
        let Ok((f, _)) = fairway(parts) else {
            return Checked::default();
        };
        let course = Course {
            name: "drawn".into(),
            origin_lon_deg: 0.0,
            origin_lat_deg: 0.0,
            fairways: vec![f],
            features: Vec::new(),
        };
        let mut settings = Settings::new(patterns[i % patterns.len()]);
        settings.clean_up.rings = (i / 2 % 3) as u32;
        read_back(&course, 0, &Mower::bar(2.54), &settings)
    });
    println!("{} sentences", all.sentences);
    assert!(all.faults.is_empty(), "{}", told(&all));
    assert!(all.sentences > 6 * cases, "{} sentences", all.sentences);
}
