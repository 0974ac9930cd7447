//! A season on fairways of the sample course: lay and hours against plain habits, pages, rules.
//!
//! Three fairways stand for the nine, to keep most tests short; the table of the whole course in
//! the guide is planned once and compared.

use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_core::{Course, Mower};
use crossgrain_formats::{calendar, programme as file, rules as rules_file};
use crossgrain_render::page::Paper;
use crossgrain_render::season_pages;
use crossgrain_render::words::{Language, Words};
use crossgrain_season::fairway_season::Habit;
use crossgrain_season::programme::{Programme, Row, Stage, Workers};
use crossgrain_season::rule_faults::faults;
use crossgrain_season::{Rules, programme};
use crossgrain_tests::stored::path;
use jiff::civil::date;
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

fn sample(name: &str) -> PathBuf {
    path("../samples").join(name)
}

fn course() -> Course {
    crossgrain_formats::course::open(&sample("quillback.geojson"))
        .unwrap()
        .course
}

fn defaults() -> Rules {
    Rules::between(date(2027, 4, 1), date(2027, 10, 31))
}

fn read(text: &str) -> Rules {
    rules_file::read(text, "rules.json", defaults()).unwrap()
}

fn sample_rules() -> Rules {
    read(&std::fs::read_to_string(sample("season.json")).unwrap())
}

/// Two threads, the answers in order.
struct Two;

impl Workers for Two {
    fn each<T: Sync, R: Send>(
        &self,
        _: Stage,
        items: &[T],
        work: impl Fn(&T) -> R + Sync,
    ) -> Vec<R> {
        let next = AtomicUsize::new(0);
        let mut done: Vec<(usize, R)> = std::thread::scope(|s| {
            let hands: Vec<_> = (0..2)
                .map(|_| {
                    s.spawn(|| {
                        let mut mine = Vec::new();
                        loop {
                            let i = next.fetch_add(1, Ordering::Relaxed);
                            let Some(item) = items.get(i) else {
                                return mine;
                            };
                            mine.push((i, work(item)));
                        }
                    })
                })
                .collect();
            hands.into_iter().flat_map(|h| h.join().unwrap()).collect()
        });
        done.sort_by_key(|(i, _)| *i);
        done.into_iter().map(|(_, r)| r).collect()
    }
}

/// A bend with bunkers, a straight one, and one along the water.
const FAIRWAYS: [&str; 3] = ["1", "2", "8"];

/// The sample season on those fairways, planned once for all tests.
fn season() -> &'static Programme {
    static DONE: OnceLock<Programme> = OnceLock::new();
    DONE.get_or_init(|| {
        let c = course();
        let mut rules = sample_rules();
        for f in &c.fairways {
            if !FAIRWAYS.contains(&f.name.as_str()) {
                rules.fairways.entry(f.name.clone()).or_default().left_out = true;
            }
        }
        programme(&c, &Mower::bar(2.54), &rules, &[], &Two).unwrap()
    })
}

fn row(p: &Programme, habit: Habit) -> Row {
    *p.habits.iter().find(|r| r.habit == Some(habit)).unwrap()
}

#[test]
fn the_computed_programme_against_the_plain_habits() {
    let p = season();
    let one = row(p, Habit::OneHeading);
    let fixed = row(p, Habit::FixedAlternation);
    let ours = &p.total;
    assert!(one.lay.r2_mean > 0.8, "{one:?}");
    // At least 60% lower than one heading all season.
    assert!(
        ours.lay.r2_mean <= 0.4 * one.lay.r2_mean,
        "{ours:?} {one:?}"
    );
    assert!(ours.lay.r2_mean < fixed.lay.r2_mean, "{ours:?} {fixed:?}");
    assert!(ours.lay.r2_p95 < fixed.lay.r2_p95, "{ours:?} {fixed:?}");
    assert!(
        ours.cost.hours <= 1.05 * fixed.cost.hours + 1e-6,
        "{ours:?} {fixed:?}"
    );
    // The habits stand on the same visits.
    assert_eq!(ours.cost.visits, fixed.cost.visits);
    assert_eq!(ours.cost.visits, p.visits.len());
}

#[test]
fn loops_alternate_their_sense_and_shift_their_lanes() {
    let p = season();
    for b in &p.books {
        let loops: Vec<_> = p
            .visits
            .iter()
            .filter(|v| v.fairway == b.fairway && v.lane_shift.is_some())
            .collect();
        assert!(loops.len() > 8, "{}: {}", b.fairway, loops.len());
        for pair in loops.windows(2) {
            assert_ne!(pair[0].sense, pair[1].sense);
            assert_ne!(pair[0].lane_shift, pair[1].lane_shift);
        }
        // Two raised, the rest at the bench height.
        assert!(
            loops[..2]
                .iter()
                .all(|v| (v.height_m - 0.01397).abs() < 1e-9)
        );
        assert!(
            loops[2..]
                .iter()
                .all(|v| (v.height_m - 0.0127).abs() < 1e-9)
        );
        let rings: Vec<_> = p
            .visits
            .iter()
            .filter(|v| v.fairway == b.fairway)
            .map(|v| v.clean_up)
            .collect();
        assert!(rings.iter().any(Option::is_none), "never skipped");
        let driven: Vec<_> = rings.into_iter().flatten().collect();
        assert!(driven.windows(2).all(|w| w[0] != w[1]), "sense alternates");
    }
}

#[test]
fn nothing_is_mown_on_closed_days_and_the_crew_gets_home() {
    let p = season();
    let limit_min = p.rules.crew.hours_per_day * 60.0 * f64::from(p.rules.crew.mowers);
    for d in &p.days {
        assert!(p.rules.closed_on(d.date).is_none(), "{}", d.date);
        assert!(d.minutes <= limit_min, "{d:?}");
    }
    assert!(
        p.visits.iter().all(|v| v.date() != date(2027, 5, 12)),
        "wet"
    );
    let ics = calendar::text(p);
    let uids: BTreeSet<&str> = ics.lines().filter(|l| l.starts_with("UID:")).collect();
    let events = ics.matches("BEGIN:VEVENT").count();
    assert_eq!(uids.len(), events);
    assert_eq!(
        events,
        p.visits.len() + p.cancelled.len() + p.rules.closed.len()
    );
    let csv = file::csv(p).unwrap();
    assert_eq!(csv.lines().count(), p.visits.len() + 1);
}

#[test]
fn no_text_of_any_page_meets_another_or_leaves_the_paper() {
    let (p, c) = (season(), course());
    for (language, units, paper) in [
        (Language::English, UnitSystem::Us, Paper::Letter),
        (Language::Spanish, UnitSystem::Metric, Paper::A4),
    ] {
        let words = Words::of(language, units);
        let pages = season_pages(p, &c, date(2027, 7, 1), paper, &words);
        // Seven months, thirty weeks, a map for each fairway.
        assert_eq!(pages.len(), 7 + 30 + FAIRWAYS.len());
        let names: BTreeSet<&str> = pages.iter().map(|p| p.name.as_str()).collect();
        assert_eq!(names.len(), pages.len());
        for page in pages {
            let bad = page.drawing.text_faults();
            assert!(bad.is_empty(), "{}: {bad:#?}", page.name);
        }
    }
}

#[test]
fn bad_rules_name_the_rule_and_the_fix() {
    let c = course();
    for (text, is_error, expected) in [
        (
            r#"{"season": {"from": "2027-06-01", "to": "2027-05-01"}}"#,
            true,
            "season.to: the season ends on 2027-05-01, before it starts on 2027-06-01; \
             set season.to to 2027-06-01 or later",
        ),
        (
            r#"{"mowing_days": []}"#,
            true,
            "mowing_days: there is no mowing day; name at least one day, such as [\"mon\"]",
        ),
        (
            r#"{"fairways": {"12": {"no_loops": true}}}"#,
            true,
            "fairways.12: the course has no fairway '12'; use one of: 1, 2, 3, 4, 5, 6, 7, 8, 9",
        ),
        (
            // Maryland golf best-management guide: Kentucky bluegrass not below 0.625 in.
            r#"{"grass": "kentucky bluegrass", "height": {"regular": "0.5in"}}"#,
            false,
            "height.regular: 12.70 mm is below the lowest published for kentucky bluegrass, 15.88 mm \
             (Maryland golf best-management guide, lowest fairway heights); \
             set it to 15.88 mm (0.625 in) or more, or take local advice in writing",
        ),
        (
            r#"{"height": {"raise_percent": 45}}"#,
            false,
            "height.raise_percent: coming back from 23.1 mm (raised height and 2.3 days' growth) to \
             12.7 mm takes off 45% of the leaf, more than a third; \
             raise by 13% at most, mow more often, or come down in two steps",
        ),
    ] {
        let found = faults(&read(text), &c);
        assert_eq!(found.len(), 1, "{text}: {found:?}");
        assert_eq!(found[0].to_string(), expected);
        assert_eq!(found[0].is_error(), is_error, "{text}");
    }
    assert!(faults(&sample_rules(), &c).is_empty());
}

/// The table in the guide: schedules down, figures across.
fn table(p: &Programme) -> String {
    let mut out = "| schedule | R2 mean | R2 95% | R1 mean | R1 95% | hours | km |\n\
                   |---|---|---|---|---|---|---|\n"
        .to_string();
    for r in p.habits.iter().chain([&p.total]) {
        let name = r
            .habit
            .map_or("**the programme**".to_string(), |h| h.to_string());
        out += &format!(
            "| {name} | {:.2} | {:.2} | {:.2} | {:.2} | {:.0} | {:.0} |\n",
            r.lay.r2_mean,
            r.lay.r2_p95,
            r.lay.r1_mean,
            r.lay.r1_p95,
            r.cost.hours,
            r.cost.distance_m / 1000.0
        );
    }
    out
}

/// Plans the whole sample course: some ten seconds. With `BLESS` set the guide's table is written
/// anew.
#[test]
fn the_table_in_the_guide_is_what_is_planned() {
    let p = programme(&course(), &Mower::bar(2.54), &sample_rules(), &[], &Two).unwrap();
    let one = row(&p, Habit::OneHeading);
    let fixed = row(&p, Habit::FixedAlternation);
    assert!(p.total.lay.r2_mean <= 0.4 * one.lay.r2_mean, "{one:?}");
    assert!(p.total.lay.r2_mean < fixed.lay.r2_mean, "{fixed:?}");
    assert!(p.total.cost.hours <= 1.05 * fixed.cost.hours, "{fixed:?}");
    for l in &p.lay {
        assert!(l.lay.r2_mean < one.lay.r2_mean, "{l:?}");
    }

    let made = table(&p);
    let file = path("../crates/season/src/season_table.md");
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&file, &made).unwrap();
    }
    let kept = std::fs::read_to_string(&file).unwrap();
    // One in the last place of a rounded figure is left to other machines' sines.
    let cells = |t: &str| -> Vec<String> { t.split('|').map(|c| c.trim().to_string()).collect() };
    let (made, kept) = (cells(&made), cells(&kept));
    assert_eq!(made.len(), kept.len());
    for (m, k) in made.iter().zip(&kept) {
        match (m.parse::<f64>(), k.parse::<f64>()) {
            (Ok(a), Ok(b)) => {
                let unit = if m.contains('.') { 0.01 } else { 1.0 };
                assert!((a - b).abs() < 1.5 * unit, "{m}, in the guide {k}");
            }
            _ => assert_eq!(m, k),
        }
    }
}
