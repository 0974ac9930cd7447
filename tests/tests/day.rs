//! Every morning of the sample's season: what its sheets are planned with is what the programme's
//! row says, and the board's minutes are those of the plans.

use crossgrain_core::inside::ground::FairwayBuilder;
use crossgrain_core::inside::model::pattern::CrossSets;
use crossgrain_core::inside::model::quantity::{UnitSystem, compass_deg};
use crossgrain_core::inside::planner::plan_each_and;
use crossgrain_core::{Course, Fairway, Heading, Mow, Mower, Pattern, Role, Settings, plan};
use crossgrain_formats::day::{DayFile, TurnEntry};
use crossgrain_formats::plan::{self as plan_file, Entry};
use crossgrain_formats::{
    day as day_file, fingerprint, observations, programme as file, rules as rules_file, stale,
    standing,
};
use crossgrain_metrics::{Measures, measure};
use crossgrain_render::crew::ForCrew;
use crossgrain_render::day_board::{BoardEntry, BoardInput, board};
use crossgrain_render::drawing::{Drawing, Mark};
use crossgrain_render::page::Paper;
use crossgrain_render::sheet::{SheetInput, clean_up_rings, first_pass_hours, sheet};
use crossgrain_render::words::{Language, Words};
use crossgrain_season::day::{Day, Morning};
use crossgrain_season::mow_request::MowRequest;
use crossgrain_season::programme::{Ask, programme};
use crossgrain_season::rules::Rules;
use crossgrain_season::visit::Visit;
use crossgrain_tests::stored::path;
use crossgrain_tests::strangers::Strangers;
use crossgrain_tests::two_threads::{Two, each};
use geo_types::{Coord, LineString, Polygon};
use jiff::civil::{date, time};
use serde_json::Value;
use std::path::PathBuf;

fn sample(name: &str) -> PathBuf {
    path("../samples").join(name)
}

/// A mow with what makes it another one: fairway and settings.
struct Distinct {
    fairway: usize,
    settings: Settings,
    mow: Mow,
    measures: Measures,
    /// The mow as its plan file has it.
    value: Value,
}

fn planned(course: &Course, mower: &Mower, visits: &[Visit]) -> Vec<Distinct> {
    let mut wanted: Vec<(usize, Vec<Settings>)> = Vec::new();
    for v in visits {
        let f = (course.fairways.iter())
            .position(|f| f.name() == v.fairway)
            .unwrap();
        let settings = MowRequest::of(v).settings();
        match wanted.iter_mut().find(|w| w.0 == f) {
            Some(w) if w.1.contains(&settings) => {}
            Some(w) => w.1.push(settings),
            None => wanted.push((f, vec![settings])),
        }
    }
    let done = each(&wanted, |(f, settings)| {
        let fairway = &course.fairways[*f];
        let mows = plan_each_and(fairway, mower, settings, |mow, _| mow);
        (mows.into_iter().zip(settings))
            .map(|(mow, settings)| {
                let mow = mow.unwrap();
                let measures = measure(fairway, mower, &mow);
                let entry = Entry {
                    fairway,
                    mow: &mow,
                    measures: &measures,
                };
                let mut value = plan_file::value(course, mower, &[entry]);
                Distinct {
                    fairway: *f,
                    settings: settings.clone(),
                    value: value["mows"][0].take(),
                    mow,
                    measures,
                }
            })
            .collect::<Vec<_>>()
    });
    done.into_iter().flatten().collect()
}

fn near_deg(a: f64, b: f64) -> bool {
    let d = (a - b).rem_euclid(360.0);
    d.min(360.0 - d) < 1e-6
}

/// The direction of the passes at the left and right edge of the pattern, compass degrees.
fn edge_ways(mow: &Mow) -> (Option<f64>, Option<f64>) {
    let heading = mow.heading_deg().unwrap().to_radians();
    // Compass degrees: the side to the left of (sin, cos) is (-cos, sin).
    let left = (-heading.cos(), heading.sin());
    let mut passes: Vec<(f64, f64)> = Vec::new();
    for leg in mow.legs() {
        if !matches!(leg.role, Role::Stripe { .. }) {
            continue;
        }
        let tracks = mow.tracks_of(leg);
        let (a, b) = (tracks[0].path.start().at, tracks[0].path.end().at);
        let across = a.x * left.0 + a.y * left.1;
        passes.push((across, compass_deg((b.y - a.y).atan2(b.x - a.x))));
    }
    let way = |p: Option<&(f64, f64)>| p.map(|p| p.1);
    passes.sort_by(|a, b| a.0.total_cmp(&b.0));
    (way(passes.last()), way(passes.first()))
}

/// The highest number that a mow's legs have of some role.
fn highest(mow: &Mow, number: impl Fn(Role) -> Option<u32>) -> Option<u32> {
    mow.legs().iter().filter_map(|l| number(l.role)).max()
}

/// What a row says that its plan does not do; the parts of the fairway are mown each for itself,
/// so the sides are looked at on fairways in one part.
fn faults(row: &Value, d: &Distinct, fairway: &Fairway) -> Vec<String> {
    let mut out = Vec::new();
    let mut is = |what: &str, right: bool, found: String| {
        if !right {
            out.push(format!(
                "{} {} {what}: {} in the programme, {found} in the plan",
                row["date"], row["fairway"], row[what]
            ));
        }
    };
    let v = &d.value;
    for what in ["fairway", "pattern"] {
        is(what, v[what] == row[what], v[what].to_string());
    }
    let heading = v["heading_deg"].as_f64().unwrap();
    is(
        "heading_deg",
        near_deg(heading, row["heading_deg"].as_f64().unwrap()),
        heading.to_string(),
    );
    let rings = highest(&d.mow, |role| match role {
        Role::CleanUp { ring } => Some(ring + 1),
        _ => None,
    });
    let rings = rings.map_or(0, u64::from);
    let loops = row["pattern"] == "loops";
    // Loops may need a further round along an edge, which is driven with the others.
    let asked = row["rings"].as_u64().unwrap();
    is(
        "rings",
        rings == asked || (loops && rings > asked),
        rings.to_string(),
    );
    let sense = d.mow.settings().clean_up_sense.map(|s| match s {
        crossgrain_core::Sense::Clockwise => "cw",
        crossgrain_core::Sense::CounterClockwise => "ccw",
    });
    is(
        "cleanup_sense",
        row["cleanup_sense"].as_str() == sense,
        format!("{sense:?}"),
    );
    if loops {
        is("sense", v["sense"] == row["sense"], v["sense"].to_string());
        let found = v["settings"]["loop_diameter_m"].as_f64().unwrap();
        is(
            "loop_diameter_m",
            (found - row["loop_diameter_m"].as_f64().unwrap()).abs() < 1e-9,
            found.to_string(),
        );
        let Pattern::Loops(train) = d.settings.pattern else {
            panic!("loops by name only");
        };
        is(
            "lane_shift",
            Some(train.lane_shift) == row["lane_shift"].as_f64(),
            train.lane_shift.to_string(),
        );
    } else if fairway.outline().0.len() == 1 {
        let sets = highest(&d.mow, |role| match role {
            Role::Stripe { set, .. } => Some(set),
            _ => None,
        });
        let both = row["cross_sets"] == "both";
        is(
            "cross_sets",
            sets == Some(u32::from(both)),
            format!("{sets:?}"),
        );
        // The pass at that edge runs along the heading.
        let (left, right) = edge_ways(&d.mow);
        let first = if row["first_pass"] == "right" {
            right
        } else {
            left
        };
        is(
            "first_pass",
            both || first.is_some_and(|way| near_deg(way, heading)),
            format!("left {left:?}, right {right:?} along {heading}"),
        );
    }
    out
}

fn texts(marks: &[Mark], out: &mut Vec<String>) {
    for m in marks {
        match m {
            Mark::Text(t) => out.push(t.content.clone()),
            Mark::Group { marks, .. } => texts(marks, out),
            Mark::Shape { .. } => {}
        }
    }
}

/// Visits read back from the file, against those it was written from.
fn same_visits(read: &[Visit], made: &[Visit]) {
    assert_eq!(read.len(), made.len());
    for (a, b) in read.iter().zip(made) {
        let mut b = b.clone();
        b.ground.broken = Vec::new();
        b.ground.fairway_m2 = 0.0;
        b.ground.reach_m2 = 0.0;
        assert!((a.height_m - b.height_m).abs() < 1e-12);
        b.height_m = a.height_m;
        assert_eq!(*a, b);
    }
}

/// The turns of a morning as its file has them.
fn turn_entries<'a>(
    course: &'a Course,
    day: &'a Day,
    places: &[usize],
    distinct: &'a [Distinct],
) -> Vec<TurnEntry<'a>> {
    (day.turns.iter().zip(places).enumerate())
        .map(|(i, (turn, &at))| TurnEntry {
            turn,
            mow: &distinct[at].mow,
            measures: &distinct[at].measures,
            first_pass_clock: first_pass_hours(
                &course.fairways[distinct[at].fairway],
                &distinct[at].mow,
            ),
            plan: ("plan.json", i),
            sheets: Vec::new(),
            pages: None,
        })
        .collect()
}

fn minutes_of(v: &Value) -> f64 {
    v["minutes"].as_f64().unwrap()
}

/// The visits of a morning's file, machine by machine; the minutes add up to those of the plans.
fn told(board: &Value, total: f64) -> Vec<&Value> {
    let machines = board["machines"].as_array().unwrap();
    assert!((minutes_of(board) - total).abs() < 1e-9);
    assert!((machines.iter().map(minutes_of).sum::<f64>() - total).abs() < 1e-9);
    (machines.iter())
        .flat_map(|m| m["visits"].as_array().unwrap())
        .collect()
}

/// The board's row is the programme's, but for hours and minutes.
fn as_in_programme(row: &Value, value: &Value) {
    let of_programme = (value["visits"].as_array().unwrap().iter())
        .find(|v| v["date"] == row["date"] && v["fairway"] == row["fairway"])
        .unwrap();
    for key in [
        "pattern",
        "cross_sets",
        "heading_deg",
        "first_pass",
        "sense",
        "lane_shift",
        "loop_diameter_m",
        "height_mm",
        "rings",
        "cleanup_sense",
        "ends",
        "slot",
        "mower",
    ] {
        assert_eq!(row[key], of_programme[key], "{key} of {row}");
    }
}

#[test]
fn every_morning_has_the_settings_of_its_row_and_the_minutes_of_its_plans() {
    let opened = crossgrain_formats::course::open(&sample("quillback.geojson")).unwrap();
    let course = &opened.course;
    let read = |name: &str| std::fs::read_to_string(sample(name)).unwrap();
    let defaults = Rules::between(date(2027, 4, 1), date(2027, 10, 31));
    let rules = rules_file::read(&read("season.json"), "season.json", defaults).unwrap();
    let log = observations::read(&read("scalping.csv"), "scalping.csv").unwrap();
    let mower = Mower::bar(2.54);
    let ask = Ask {
        course,
        mowers: std::slice::from_ref(&mower),
        rules: &rules,
        observations: &log,
        done: &[],
    };
    let mut p = programme(&ask, &Two).unwrap();
    p.ground = fingerprint::ground(course);
    let value = file::value(&p);

    // The file says all that the programme knows of a visit.
    let again = standing::read(&file::text(&p), "programme.json").unwrap();
    stale::ground(&again, course).unwrap();
    stale::mower(&again, 0, &mower, "100in").unwrap();
    same_visits(&again.standing.visits, &p.visits);

    let distinct = planned(course, &mower, &again.standing.visits);
    let of = |v: &Visit| {
        let settings = MowRequest::of(v).settings();
        (distinct.iter())
            .position(|d| course.fairways[d.fairway].name() == v.fairway && d.settings == settings)
            .unwrap()
    };
    let words = Words::of(Language::English, UnitSystem::Us);
    let mut drawn = vec![Vec::new(); distinct.len()];
    let dates = again.standing.dates();
    assert_eq!(dates.len(), 90);
    let mut rows = 0;
    let strangers = Strangers::in_spanish();
    for day_date in dates {
        let mut day = again.standing.day(day_date, &Morning::default()).unwrap();
        let places: Vec<usize> = day.turns.iter().map(|t| of(&t.visit)).collect();
        let minutes: Vec<f64> = (places.iter())
            .map(|&i| distinct[i].measures.minutes)
            .collect();
        day.clock_in(&minutes);
        let turns = turn_entries(course, &day, &places, &distinct);
        let board = day_file::value(&DayFile {
            course: &course.name,
            issue: 1,
            day: &day,
            turns: &turns,
            machines: &["1".to_string(), "2".to_string()],
            pdf: "day.pdf",
            plan: ("23456", "2027-06-04"),
        });
        let told = told(&board, minutes.iter().sum());
        assert_eq!(told.len(), day.turns.len());
        for (row, (turn, &at)) in told.iter().zip(day.turns.iter().zip(&places)) {
            rows += 1;
            as_in_programme(row, &value);
            assert_eq!(minutes_of(row), distinct[at].value["measures"]["minutes"]);
            let d = &distinct[at];
            let found = faults(row, d, &course.fairways[d.fairway]);
            assert!(found.is_empty(), "{found:#?}");
            // The sheet of each mow, once at each height.
            let height = words.height_of_cut(turn.visit.height_m);
            if !drawn[at].contains(&height) && (drawn[at].is_empty() || drawn[at].len() < 2) {
                sheet_says(course, &mower, d, &turn.visit, &words);
                drawn[at].push(height);
            }
        }
        assert!(day.turns.iter().all(|t| Day::end(t) > t.start));
        let entries: Vec<BoardEntry<'_>> = (day.turns.iter().zip(&places))
            .map(|(turn, &at)| BoardEntry {
                turn,
                fairway: &course.fairways[distinct[at].fairway],
                mow: &distinct[at].mow,
            })
            .collect();
        boards_can_be_read(&day, &entries, &strangers);
    }
    assert_eq!(rows, p.visits.len());
}

/// The board in both languages and units on both papers: nothing lies over anything else or is
/// cut off, and no English is left in Spanish.
fn boards_can_be_read(day: &Day, entries: &[BoardEntry<'_>], strangers: &Strangers) {
    for language in Language::ALL {
        for (units, paper) in [
            (UnitSystem::Us, Paper::Letter),
            (UnitSystem::Metric, Paper::A4),
        ] {
            let words = Words::of(language, units);
            let pages = board(&BoardInput {
                course: "Campo",
                day,
                entries,
                machines: &["1: Norte".to_string(), "2".to_string()],
                cancelled: &[("9".to_string(), "frost".to_string())],
                issue: 1,
                plan: ("23456", "2027-06-04"),
                crew: ForCrew {
                    emergency: Some("911"),
                    radio: Some("4"),
                    first_tee: Some(time(6, 15, 0, 0)),
                    ..ForCrew::default()
                },
                paper,
                words: &words,
            });
            // The clean-up passes are those that are driven.
            for e in entries {
                let n = clean_up_rings(e.mow);
                let said = match n {
                    0 => words.say("board.cleanup_none").to_string(),
                    1 => words.say("board.cleanup_one").to_string(),
                    n => words.fill("board.cleanup_many", &[("count", &n.to_string())]),
                };
                let begins = said.split("{sense}").next().unwrap();
                let stands = |p: &Drawing| p.texts().iter().any(|t| t.content.starts_with(begins));
                assert!(pages.iter().any(stands), "{}: {begins}", day.date);
            }
            // Two where each of the nine fairways has a reason to tell, as after frost.
            assert!(pages.len() <= 2, "{}", day.date);
            for page in &pages {
                let faults = page.text_faults();
                assert!(faults.is_empty(), "{} {language:?}: {faults:#?}", day.date);
                for t in page.texts() {
                    assert!(!t.content.contains('…'), "{}: {}", day.date, t.content);
                }
                if language == Language::Spanish {
                    let foreign = strangers.on(page);
                    assert!(foreign.is_empty(), "{}: {foreign:#?}", day.date);
                }
            }
        }
    }
}

/// The sheet has the row's height, the day, the machine.
fn sheet_says(course: &Course, mower: &Mower, d: &Distinct, v: &Visit, words: &Words) {
    let pages = sheet(&SheetInput {
        height_of_cut_m: Some(v.height_m),
        date: Some("Fri June 4"),
        machine: Some("2"),
        ..SheetInput::new(
            course,
            &course.fairways[d.fairway],
            mower,
            &d.mow,
            &d.measures,
            Paper::Letter,
            words,
        )
    });
    for page in &pages {
        let mut said = Vec::new();
        texts(&page.marks, &mut said);
        for text in [words.height_of_cut(v.height_m).as_str(), "Fri June 4", "2"] {
            assert!(said.iter().any(|s| s == text), "{text} not in {said:?}");
        }
    }
}

/// Ends of the lines of a mow, from and to, in centimetres.
fn lines(mow: &Mow) -> Vec<[i64; 4]> {
    // Off the half centimetres that some of these lines lie on.
    let cm = |x: f64| (x * 100.0 + 0.3).round() as i64;
    let mut out: Vec<[i64; 4]> = (mow.legs().iter())
        .filter(|l| matches!(l.role, Role::Stripe { .. } | Role::Contour { .. }))
        .map(|l| {
            let tracks = mow.tracks_of(l);
            let (a, b) = (
                tracks[0].path.start().at,
                tracks[tracks.len() - 1].path.end().at,
            );
            [cm(a.x), cm(a.y), cm(b.x), cm(b.y)]
        })
        .collect();
    out.sort_unstable();
    out
}

#[test]
fn turned_round_and_counted_from_the_right_every_line_is_driven_the_other_way() {
    // An even and an odd number of lines.
    for width_m in [22.0, 24.5] {
        let ring = [(0.0, 0.0), (120.0, 0.0), (120.0, width_m), (0.0, width_m)]
            .map(|(x, y)| Coord { x, y });
        let field = FairwayBuilder {
            name: "7".to_string(),
            outline: vec![Polygon::new(LineString(ring.to_vec()), vec![])],
            ..FairwayBuilder::default()
        }
        .build_and_tell()
        .unwrap()
        .0;
        let patterns: [fn(Heading) -> Pattern; 3] = [
            |heading| Pattern::Stripes { heading },
            |heading| Pattern::HalfAndHalf { heading },
            |heading| Pattern::Cross {
                heading,
                angle_deg: 90.0,
                sets: CrossSets::Both,
            },
        ];
        for pattern in patterns {
            let mow = |deg: f64, from_right: bool| {
                let mut settings = Settings::new(pattern(Heading::Bearing { deg }));
                settings.clean_up.rings = 0;
                settings.from_right = from_right;
                lines(&plan(&field, &Mower::bar(2.54), &settings).unwrap())
            };
            let there = mow(90.0, false);
            let mut back: Vec<[i64; 4]> = (mow(270.0, true).into_iter())
                .map(|[a, b, c, d]| [c, d, a, b])
                .collect();
            back.sort_unstable();
            assert!(there.len() > 7);
            assert_eq!(there, back, "{:?}, {width_m} m", pattern(Heading::Along));
            // Alternating lines differ in direction, so turning the heading alone is not enough
            // where they are even in number.
            if there.len() % 2 == 0 {
                let mut turned: Vec<[i64; 4]> = (mow(270.0, false).into_iter())
                    .map(|[a, b, c, d]| [c, d, a, b])
                    .collect();
                turned.sort_unstable();
                assert_ne!(there, turned);
            }
        }
    }
}
