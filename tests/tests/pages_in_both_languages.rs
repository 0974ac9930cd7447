//! Everything that is printed, in both languages on letter and A4: each text fits its box, by the
//! widths of the font, and no English is left on a Spanish page. Boards are looked at in `day`, the
//! size chart in render, what the command writes to files and terminal in `spanish_output`.

use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_core::{
    Course, CrossSets, Guide, Heading, LoopTrain, Mow, Mower, Pattern, Sense, Settings, plan,
};
use crossgrain_formats::{observations, rules as rules_file};
use crossgrain_metrics::{Measures, measure};
use crossgrain_render::crew::ForCrew;
use crossgrain_render::drawing::Drawing;
use crossgrain_render::overview::{Planned, overview};
use crossgrain_render::page::Paper;
use crossgrain_render::season_pages;
use crossgrain_render::sheet::{SheetInput, left_of, sheet};
use crossgrain_render::words::{Language, Words};
use crossgrain_season::programme::{Ask, programme};
use crossgrain_season::rules::Rules;
use crossgrain_tests::stored::path;
use crossgrain_tests::strangers::Strangers;
use crossgrain_tests::two_threads::{Two, each};
use jiff::civil::{date, time};

/// The sample course under a name that is no English.
fn course() -> Course {
    let mut c = crossgrain_formats::course::open(&path("../samples").join("quillback.geojson"))
        .unwrap()
        .course;
    c.name = "Campo".to_string();
    c
}

/// A plain deck, and a mower of five units under a name that is no English.
fn mowers() -> [Mower; 2] {
    let five = crossgrain_formats::mower::open(&path("../samples").join("light-five.json"));
    let mut five = five.unwrap();
    five.name = "Cinco".to_string();
    let mut bar = Mower::bar(2.54);
    bar.name = "100in".to_string();
    [bar, five]
}

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
        Pattern::Loops(LoopTrain::new(22.0 * 0.3048, Sense::CounterClockwise)),
        Pattern::Contour {
            guide: Guide::CentreLine,
        },
        Pattern::HalfAndHalf {
            heading: Heading::Along,
        },
        Pattern::Rings {
            sense: Sense::Clockwise,
        },
    ]
}

/// Both languages, each on one paper in each unit.
fn ways() -> [(Words, Paper); 4] {
    use {Language::*, UnitSystem::*};
    [
        (Words::of(English, Us), Paper::Letter),
        (Words::of(English, Metric), Paper::A4),
        (Words::of(Spanish, Us), Paper::Letter),
        (Words::of(Spanish, Metric), Paper::A4),
    ]
}

/// What is wrong with a page.
fn faults(page: &Drawing, strangers: &Strangers) -> Vec<String> {
    let mut out = page.text_faults();
    let cut = page.texts().into_iter().filter(|t| t.content.contains('…'));
    out.extend(cut.map(|t| format!("'{}' is cut", t.content)));
    if page.language == "es" {
        out.extend(strangers.on(page));
    }
    for f in &mut out {
        *f = format!("{} ({}): {f}", page.title, page.language);
    }
    out
}

fn told(faults: &[String]) -> String {
    faults
        .iter()
        .take(30)
        .cloned()
        .collect::<Vec<_>>()
        .join("\n")
}

struct Done {
    fairway: usize,
    mow: Mow,
    measures: Measures,
    faults: Vec<String>,
    pages: usize,
}

/// A mow's sheets in all four ways.
fn looked_at(
    course: &Course,
    mower: &Mower,
    fairway: usize,
    pattern: Pattern,
    strangers: &Strangers,
) -> Done {
    let f = &course.fairways[fairway];
    let mow = plan(f, mower, &Settings::new(pattern)).unwrap();
    let measures = measure(f, mower, &mow);
    let left = left_of(f, mower, &mow, &measures);
    let spot = |i: usize| f.outline().0[0].exterior().0[i];
    let (heads, plates) = ([spot(0), spot(5)], [spot(9)]);
    let (mut found, mut pages) = (Vec::new(), 0);
    for (words, paper) in ways() {
        let number = words.code() == "es";
        let crew = ForCrew {
            emergency: Some("911"),
            radio: Some("4"),
            first_tee: Some(time(7, 0, 0, 0)),
            sprinkler_heads: &heads,
            yardage_plates: &plates,
        };
        let drawn = sheet(&SheetInput {
            left: Some(&left),
            height_of_cut_m: Some(0.0127),
            date: Some(if number {
                "mié 4 de septiembre"
            } else {
                "Wed September 4"
            }),
            machine: Some("12"),
            plan: Some(("W7HMQ", "2027-09-04")),
            crew,
            name_confirmed: fairway != 0,
            ..SheetInput::new(course, f, mower, &mow, &measures, paper, &words)
        });
        pages += drawn.len();
        for page in &drawn {
            found.extend(faults(page, strangers));
        }
    }
    Done {
        fairway,
        mow,
        measures,
        faults: found,
        pages,
    }
}

#[test]
fn sheets_and_overview_fit_and_speak_one_language() {
    let (course, mowers, patterns) = (course(), mowers(), patterns());
    let strangers = Strangers::in_spanish();
    let n = course.fairways.len();
    let jobs: Vec<usize> = (0..n * mowers.len() * patterns.len()).collect();
    let all: Vec<Done> = each(&jobs, |&i| {
        let (fairway, rest) = (i % n, i / n);
        let mower = &mowers[rest % mowers.len()];
        let pattern = patterns[rest / mowers.len()];
        looked_at(&course, mower, fairway, pattern, &strangers)
    });
    let mut found: Vec<String> = all.iter().flat_map(|d| d.faults.clone()).collect();
    let pages: usize = all.iter().map(|d| d.pages).sum();
    println!("{pages} pages of sheets");
    assert!(pages >= 4 * jobs.len());
    let rows: Vec<Planned<'_>> = (all.iter())
        .filter(|d| d.fairway < n)
        .take(2 * n)
        .map(|d| Planned {
            fairway: &course.fairways[d.fairway],
            mow: &d.mow,
            measures: &d.measures,
        })
        .collect();
    for (words, paper) in ways() {
        found.extend(faults(&overview(&course, &rows, paper, &words), &strangers));
    }
    assert!(
        found.is_empty(),
        "{} faults:\n{}",
        found.len(),
        told(&found)
    );
}

#[test]
fn season_pages_fit_and_speak_one_language() {
    let course = course();
    let strangers = Strangers::in_spanish();
    let read = |name: &str| std::fs::read_to_string(path("../samples").join(name)).unwrap();
    let defaults = Rules::between(date(2027, 4, 1), date(2027, 10, 31));
    let mut rules = rules_file::read(&read("season.json"), "season.json", defaults).unwrap();
    // What closes a day is told as the rules have it.
    for c in &mut rules.closed {
        c.why = "torneo".to_string();
    }
    let log = observations::read(&read("scalping.csv"), "scalping.csv").unwrap();
    let [bar, _] = mowers();
    let ask = Ask {
        course: &course,
        mowers: &[bar],
        rules: &rules,
        observations: &log,
        done: &[],
    };
    let p = programme(&ask, &Two).unwrap();
    let mut found = Vec::new();
    let mut pages = 0;
    for (words, paper) in ways() {
        for page in season_pages(&p, &course, date(2027, 7, 1), paper, &words) {
            pages += 1;
            found.extend(faults(&page.drawing, &strangers));
        }
    }
    println!("{pages} pages of the season");
    assert!(pages > 150);
    assert!(
        found.is_empty(),
        "{} faults:\n{}",
        found.len(),
        told(&found)
    );
}
