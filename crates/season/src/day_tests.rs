use super::*;
use crate::ground_figures::GroundFigures;
use crate::slots::{Kind, SlotId};
use crossgrain_core::inside::model::pattern::{Ends, PatternKind};
use jiff::civil::date;

fn visit(fairway: &str, day: Date, hour: i8, mower: u32, minutes: f64) -> Visit {
    Visit {
        slot: SlotId {
            year: 2027,
            week: 22,
            ordinal: 0,
        },
        start: day.at(hour, 0, 0, 0),
        fairway: fairway.to_string(),
        kind: Kind::Regular,
        pattern: PatternKind::Stripes,
        cross_sets: None,
        heading_deg: 41.5,
        clock: (6.0, 12.0),
        first_pass_right: false,
        sense: None,
        lane_shift: None,
        loop_diameter_m: None,
        height_m: 0.0127,
        why: None,
        clean_up: None,
        rings: 1,
        ends: Ends::Edge,
        ground: GroundFigures::default(),
        minutes,
        distance_m: 1000.0,
        mower,
        moved_from: None,
        later_min: 0,
        done: false,
    }
}

/// Two days; on the second, machine 1 has fairways 1 and 3, machine 2 has 2 and 4.
fn standing() -> Standing {
    let (a, b) = (date(2027, 6, 2), date(2027, 6, 4));
    Standing {
        course: "Quillback".to_string(),
        issue: 1,
        season: (date(2027, 6, 1), date(2027, 6, 30)),
        visits: vec![
            visit("1", a, 5, 0, 30.0),
            visit("1", b, 5, 0, 30.0),
            visit("2", b, 5, 1, 20.0),
            visit("4", b, 6, 1, 20.0),
            visit("3", b, 7, 0, 40.0),
        ],
        cancelled: Vec::new(),
        closed: vec![Closed {
            from: date(2027, 6, 18),
            to: date(2027, 6, 19),
            why: "member-guest".to_string(),
        }],
        start: Time::constant(5, 30, 0, 0),
        between_min: 4.0,
        mowers: vec![Mower::bar(2.54), Mower::bar(2.0)],
        machines: vec![
            Machine {
                name: "1".to_string(),
                kind: 0,
            },
            Machine {
                name: "2".to_string(),
                kind: 1,
            },
        ],
        barred: [("3".to_string(), vec![1])].into(),
    }
}

fn order(d: &Day) -> Vec<(usize, &str)> {
    (d.turns.iter())
        .map(|t| (t.machine, t.visit.fairway.as_str()))
        .collect()
}

#[test]
fn a_plain_morning_is_the_programme() {
    let s = standing();
    let mut d = s.day(date(2027, 6, 4), &Morning::default()).unwrap();
    assert_eq!(order(&d), [(0, "1"), (0, "3"), (1, "2"), (1, "4")]);
    assert_eq!(d.turns[0].last.as_ref().unwrap().date(), date(2027, 6, 2));
    assert_eq!(d.turns[1].last, None);
    d.clock_in(&[31.0, 42.0, 20.0, 19.0]);
    let hours: Vec<String> = (d.turns.iter())
        .map(|t| t.start.strftime("%H:%M").to_string())
        .collect();
    assert_eq!(hours, ["05:30", "06:05", "05:30", "05:54"]);
    assert_eq!(d.minutes(), 112.0);
    assert_eq!(Day::end(&d.turns[1]).to_string(), "2027-06-04T06:47:00");
}

#[test]
fn what_a_mower_may_not_mow_is_left_when_the_other_is_down() {
    let s = standing();
    let down = Morning {
        down: vec![0],
        ..Morning::default()
    };
    let d = s.day(date(2027, 6, 4), &down).unwrap();
    assert_eq!(order(&d), [(1, "1"), (1, "2"), (1, "4")]);
    assert_eq!(d.not_mown, [("3".to_string(), NotMown::NoMachine)]);
    assert!(d.turns.iter().all(|t| t.kind == 1));
    let without = Morning {
        without: vec!["2".to_string()],
        down: vec![1],
    };
    let d = s.day(date(2027, 6, 4), &without).unwrap();
    assert_eq!(order(&d), [(0, "1"), (0, "4"), (0, "3")]);
    assert_eq!(d.not_mown, [("2".to_string(), NotMown::LeftOut)]);
}

#[test]
fn a_day_that_is_none_says_why() {
    let s = standing();
    let say = |d: Date, m: &Morning| s.day(d, m).unwrap_err().to_string();
    let plain = Morning::default();
    assert_eq!(
        say(date(2028, 6, 4), &plain),
        "2028-06-04 is outside the season from 2027-06-01 to 2027-06-30"
    );
    assert_eq!(
        say(date(2027, 6, 3), &plain),
        "nothing is mown on 2027-06-03; the mowing days near it are 2027-06-02 and 2027-06-04"
    );
    assert_eq!(
        say(date(2027, 6, 18), &plain),
        "nothing is mown on 2027-06-18: closed, member-guest; the mowing day before it is 2027-06-04"
    );
    let down = |down: &[usize]| Morning {
        down: down.to_vec(),
        ..Morning::default()
    };
    let day = date(2027, 6, 4);
    assert_eq!(
        say(day, &down(&[2])),
        "there is no machine 3; the programme has 2, numbered from 1"
    );
    assert_eq!(
        say(day, &down(&[0, 1])),
        "every machine is down; nothing can be mown"
    );
}
