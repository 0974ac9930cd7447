//! Single values of the rules, and how each is asked for.

use crate::input;
use crossgrain_core::inside::model::pattern::Heading;
use crossgrain_core::inside::model::quantity::parse_length_m;
use crossgrain_season::grass::Grass;
use crossgrain_season::rules::clock;
use jiff::civil::{Date, Weekday};
use serde_json::Value;

pub(super) const DATE: &str = "a day such as \"2027-04-05\"";
pub(super) const DAY: &str = "a day of the week such as \"mon\"";
/// What a heading is expected to be.
pub(super) const HEADING: &str =
    "a clock position such as \"10-4\", a bearing such as 45, along or fewest";
pub(super) const LENGTH: &str = "a length with its unit, such as \"0.5in\" or \"12mm\"";

/// What is in the file, short enough for a message.
pub(super) fn shown(value: &Value) -> String {
    let text = input::plain(&value.to_string());
    if text.chars().count() > 60 {
        let start: String = text.chars().take(57).collect();
        format!("{start}... cannot be read")
    } else {
        format!("{text} cannot be read")
    }
}

pub(super) fn date(v: &Value) -> Option<Date> {
    v.as_str()?.trim().parse().ok()
}

pub(super) fn length(v: &Value) -> Option<f64> {
    parse_length_m(v.as_str()?).ok()
}

pub(super) fn words(v: &Value) -> Option<String> {
    let text = v.as_str()?.trim();
    Some(input::plain(text).chars().take(200).collect())
}

pub(super) fn grass(v: &Value) -> Option<Grass> {
    Grass::named(v.as_str()?)
}

pub(super) fn grasses() -> String {
    let all: Vec<&str> = Grass::ALL.iter().map(|g| g.word()).collect();
    format!("one of {}", all.join(", "))
}

pub(super) fn order(days: &mut Vec<Weekday>) {
    days.sort_by_key(|d| d.to_monday_zero_offset());
    days.dedup();
}

pub(super) fn weekday(v: &Value) -> Option<Weekday> {
    let text = v.as_str()?.trim().to_lowercase();
    // The first three letters, or more of the same word.
    const NAMES: [(&str, Weekday); 7] = [
        ("monday", Weekday::Monday),
        ("tuesday", Weekday::Tuesday),
        ("wednesday", Weekday::Wednesday),
        ("thursday", Weekday::Thursday),
        ("friday", Weekday::Friday),
        ("saturday", Weekday::Saturday),
        ("sunday", Weekday::Sunday),
    ];
    NAMES
        .into_iter()
        .find(|(n, _)| text.len() >= 3 && n.starts_with(&text))
        .map(|(_, d)| d)
}

/// Each of them once, in the order they come.
pub(super) fn once(list: Vec<Heading>) -> Vec<Heading> {
    let mut out: Vec<Heading> = Vec::new();
    for h in list {
        if !out.contains(&h) {
            out.push(h);
        }
    }
    out
}

/// An axis: a clock position, a bearing, `along` or `fewest`. Of the two ends of a clock
/// position the one toward the green is kept, so that 4-10 and 10-4 are one axis.
pub(super) fn heading(v: &Value) -> Option<Heading> {
    if let Some(deg) = v.as_f64() {
        return (deg.is_finite() && deg.abs() <= 360.0).then(|| Heading::Bearing {
            deg: deg.rem_euclid(360.0),
        });
    }
    let text = v.as_str()?.trim().to_lowercase();
    match text.as_str() {
        "along" => return Some(Heading::Along),
        "fewest" => return Some(Heading::Fewest),
        _ => {}
    }
    let (a, b) = text.split_once('-')?;
    let (a, b) = (hour(a)?, hour(b)?);
    if ((a - b).rem_euclid(12.0) - 6.0).abs() > 1e-9 {
        return None;
    }
    let toward = |h: f64| h.rem_euclid(12.0) <= 3.0 || h.rem_euclid(12.0) > 9.0;
    let to = if toward(b) { b } else { a };
    Some(clock(if to.rem_euclid(12.0) == 0.0 { 12.0 } else { to }))
}

/// Hours with halves: `10`, `10:30`, `10.5`.
pub(super) fn hour(text: &str) -> Option<f64> {
    let text = text.trim();
    let h = match text.split_once(':') {
        Some((h, m)) => {
            let minutes: f64 = m.parse::<u32>().ok()?.into();
            f64::from(h.parse::<u32>().ok()?) + minutes / 60.0
        }
        None => text.parse().ok()?,
    };
    let half = (2.0 * h).round() == 2.0 * h;
    ((0.0..=12.5).contains(&h) && half).then_some(h)
}
