//! Pattern, heading, spacing and clean-up passes.

use super::{count, flag, is_set, length_m, length_within_m, sense, sense_arg, text, value};
use crate::failure::Failure;
use crate::report::shown_length;
use clap::{Arg, ArgMatches};
use crossgrain_core::inside::limits::{
    MAX_ADVANCE_TOLERANCE_M, MAX_CROSS_ANGLE_DEG, MAX_LOOP_DIAMETER_M, MAX_LOOP_OVERRUN_M,
    MAX_OVERLAP_PART, MAX_RINGS, MAX_STEERING_TOLERANCE_M, MAX_TURN_MARGIN_M, MIN_CROSS_ANGLE_DEG,
};
use crossgrain_core::inside::model::pattern::DEFAULT_LOOP_DIAMETER_M;
use crossgrain_core::inside::model::pattern::DEFAULT_OVERLAP_M;
use crossgrain_core::inside::model::quantity::{INCH_M, parse_length_m};
use crossgrain_core::{
    CrossSets, Ends, Guide, Heading, LoopForm, LoopTrain, Mower, Pattern, PatternKind, Settings,
    Spacing,
};
use crossgrain_formats::usual::{self, Odd, Quantity};

/// Everything that shapes a mow.
pub(crate) fn pattern_args() -> Vec<Arg> {
    let mut all = line_args();
    all.extend(loop_args());
    all.extend(end_args());
    all
}

/// The pattern, its lines and the passes round them.
fn line_args() -> Vec<Arg> {
    vec![
        value("pattern", "NAME", "").help(format!(
            "{}; several with commas [default: stripes]",
            any_of(PatternKind::ALL.map(PatternKind::word).as_slice())
        )),
        value(
            "heading",
            "HEADING",
            "A bearing in degrees, along, fewest, or hours on a clock with the green at 12, such as 10-4 [default: fewest]",
        ),
        value(
            "overlap",
            "LENGTH",
            "Overlap between passes, such as 4in [default: 10cm]",
        ),
        value(
            "spacing",
            "even|nominal",
            "Share the width evenly, or leave a narrow last pass [default: even]",
        ),
        value(
            "cleanup",
            "N",
            "Clean-up passes along the edges [default: 2]",
        ),
        flag(
            "cleanup-last",
            "Clean-up passes after the pattern instead of before it",
        ),
        sense_arg(),
    ]
}

/// Loops, and the curves that they and other patterns follow.
fn loop_args() -> Vec<Arg> {
    vec![
        value(
            "loop-diameter",
            "LENGTH",
            "Loops this wide, such as 22ft, or the cheapest of 20ft-22ft [default: 22ft]",
        ),
        value(
            "loop-form",
            "drift|roll",
            "How a loop closes [default: the cheaper]",
        ),
        value(
            "lane-shift",
            "PART",
            "Shift all lanes by this part of their spacing, 0 to 1 [default: 0]",
        ),
        value(
            "advance-tolerance",
            "LENGTH",
            "Error on the advance that must leave no gap [default: 20cm]",
        ),
        value(
            "steering-tolerance",
            "LENGTH",
            "Steering error that must leave no gap [default: half the overlap]",
        ),
        value(
            "guide",
            "GUIDE",
            "straight, centre-line, left-side or right-side, for loops and contour",
        ),
        value(
            "cross-angle",
            "DEGREES",
            "Angle between the sets of a cross cut [default: 90]",
        ),
        flag(
            "crossing-only",
            "Only the set of a cross cut that crosses the heading",
        ),
    ]
}

/// Ends of passes and turning places.
fn end_args() -> Vec<Arg> {
    vec![
        value(
            "overrun",
            "LENGTH",
            "How far the reels may pass the outline on a loop [default: 15cm]",
        ),
        value(
            "turn-margin",
            "LENGTH",
            "Room for turns outside the outline [default: 12m]",
        ),
        flag(
            "free-directions",
            "Let stripes change direction where that saves driving",
        ),
        flag(
            "to-edge",
            "End straight passes at the edge, over the clean-up passes: evens out the grain there",
        ),
        value(
            "turn-shift",
            "N",
            "Move the turning places from visit to visit, to spread wear [default: 0]",
        ),
    ]
}

/// Words as a choice: `a, b or c`.
fn any_of(words: &[&str]) -> String {
    match words.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => words.concat(),
    }
}

/// The patterns asked for, in the order asked.
pub(crate) fn patterns(m: &ArgMatches) -> Result<Vec<PatternKind>, Failure> {
    pattern_list(text(m, "pattern").unwrap_or("stripes"))
}

/// Patterns from a list with commas, each once.
pub(crate) fn pattern_list(list: &str) -> Result<Vec<PatternKind>, Failure> {
    let mut out = Vec::new();
    for word in list.split(',').map(str::trim) {
        let kind = PatternKind::of_word(word).ok_or_else(|| {
            let known: Vec<&str> = PatternKind::ALL.iter().map(|k| k.word()).collect();
            Failure::Argument {
                option: "--pattern",
                reason: format!("'{word}' is not known; write one of {}", known.join(", ")),
            }
        })?;
        if !out.contains(&kind) {
            out.push(kind);
        }
    }
    Ok(out)
}

/// All that is asked of a mow of one pattern.
pub(crate) fn settings_for(
    m: &ArgMatches,
    kind: PatternKind,
    mower: &Mower,
) -> Result<Settings, Failure> {
    let sense = sense(m)?;
    let overlap_m = overlap_m(m, mower)?;
    let heading = text(m, "heading")
        .map(|t| {
            parse_heading(t).map_err(|reason| Failure::Argument {
                option: "--heading",
                reason,
            })
        })
        .transpose()?;
    let mut pattern = Pattern::usual(kind).round(sense);
    if let Some(h) = heading {
        pattern = pattern.along(h);
    }
    match &mut pattern {
        Pattern::Cross {
            angle_deg, sets, ..
        } => {
            *angle_deg = cross_angle_deg(m)?.unwrap_or(*angle_deg);
            if is_set(m, "crossing-only") {
                *sets = CrossSets::Crossing;
            }
        }
        Pattern::Loops(train) => loop_options(m, train, overlap_m)?,
        Pattern::Contour { guide: along } => *along = guide(m)?.unwrap_or(*along),
        // Whatever is new is laid as usual, along the heading and in the sense asked for.
        _ => {}
    }
    let mut settings = Settings::new(pattern);
    settings.overlap_m = overlap_m;
    settings.clean_up.sense = sense;
    settings.clean_up.before = !is_set(m, "cleanup-last");
    if let Some(n) = count(m, "cleanup", "--cleanup", MAX_RINGS)? {
        settings.clean_up.rings = n;
    }
    settings.spacing = match text(m, "spacing") {
        None | Some("even") => Spacing::Even,
        Some("nominal") => Spacing::Nominal,
        Some(other) => {
            return Err(Failure::Argument {
                option: "--spacing",
                reason: format!("'{other}' is not known; write even or nominal"),
            });
        }
    };
    if let Some(v) = length_within_m(m, "overrun", "--overrun", 0.0, MAX_LOOP_OVERRUN_M)? {
        settings.loop_overrun_m = v;
    }
    if let Some(v) = length_within_m(m, "turn-margin", "--turn-margin", 0.0, MAX_TURN_MARGIN_M)? {
        settings.turn_margin_m = v;
    }
    settings.keep_directions = !is_set(m, "free-directions");
    if is_set(m, "to-edge") {
        settings.ends = Ends::Edge;
    }
    if let Some(n) = count(m, "turn-shift", "--turn-shift", 1000)? {
        settings.turn_shift = n;
    }
    Ok(settings)
}

/// What is odd about settings, each thing once.
pub(crate) fn odd_settings(settings: &[Settings]) -> Vec<Odd> {
    let mut out: Vec<Odd> = Vec::new();
    for s in settings {
        let overlap = usual::outside("--overlap", s.overlap_m, usual::OVERLAP_M, Quantity::Length);
        let loops = match &s.pattern {
            Pattern::Loops(t) => [t.diameter_min_m, t.diameter_max_m]
                .into_iter()
                .find_map(|d| {
                    usual::outside("--loop-diameter", d, usual::LOOP_M, Quantity::Length)
                }),
            _ => None,
        };
        for o in overlap.into_iter().chain(loops) {
            if !out.contains(&o) {
                out.push(o);
            }
        }
    }
    out
}

/// The overlap, checked against the deck.
fn overlap_m(m: &ArgMatches, mower: &Mower) -> Result<f64, Failure> {
    let width = mower.cutting_width_m();
    let units = super::units(m)?;
    let most = MAX_OVERLAP_PART * width;
    match length_m(m, "overlap", "--overlap")? {
        None => Ok(DEFAULT_OVERLAP_M.min(most)),
        Some(v) if v > 0.0 && v < most => Ok(v),
        Some(_) => Err(Failure::Argument {
            option: "--overlap",
            reason: format!(
                "'{}' is no overlap for this deck; it must be more than 0, because nobody steers to the centimetre, and less than half the deck's {}; {} to {} is usual",
                text(m, "overlap").unwrap_or_default(),
                shown_length(width, units),
                shown_length(2.0 * INCH_M, units),
                shown_length(4.0 * INCH_M, units)
            ),
        }),
    }
}

fn cross_angle_deg(m: &ArgMatches) -> Result<Option<f64>, Failure> {
    let Some(t) = text(m, "cross-angle") else {
        return Ok(None);
    };
    let (low, high) = (MIN_CROSS_ANGLE_DEG, MAX_CROSS_ANGLE_DEG);
    match number(t) {
        Some(v) if (low..=high).contains(&v) => Ok(Some(v)),
        _ => Err(Failure::Argument {
            option: "--cross-angle",
            reason: format!("'{t}' is no angle from {low} to {high} degrees"),
        }),
    }
}

fn guide(m: &ArgMatches) -> Result<Option<Guide>, Failure> {
    Ok(Some(match text(m, "guide") {
        None => return Ok(None),
        Some("straight") => Guide::Straight,
        Some("centre-line") => Guide::CentreLine,
        Some("left-side") => Guide::LeftSide,
        Some("right-side") => Guide::RightSide,
        Some(other) => {
            return Err(Failure::Argument {
                option: "--guide",
                reason: format!(
                    "'{other}' is not known; write straight, centre-line, left-side or right-side"
                ),
            });
        }
    }))
}

/// What the options say of a loop train.
fn loop_options(m: &ArgMatches, train: &mut LoopTrain, overlap_m: f64) -> Result<(), Failure> {
    (train.diameter_min_m, train.diameter_max_m) = diameters_m(m)?;
    train.steering_tolerance_m = overlap_m / 2.0;
    if let Some(g) = guide(m)? {
        train.guide = g;
    }
    train.form = match text(m, "loop-form") {
        None => None,
        Some("drift") => Some(LoopForm::Drift),
        Some("roll") => Some(LoopForm::Roll),
        Some(other) => {
            return Err(Failure::Argument {
                option: "--loop-form",
                reason: format!("'{other}' is not known; write drift or roll"),
            });
        }
    };
    if let Some(t) = text(m, "lane-shift") {
        train.lane_shift = number(t)
            .filter(|v| (0.0..=1.0).contains(v))
            .ok_or_else(|| Failure::Argument {
                option: "--lane-shift",
                reason: format!("'{t}' is no number from 0 to 1"),
            })?;
    }
    if let Some(v) = length_within_m(
        m,
        "advance-tolerance",
        "--advance-tolerance",
        0.0,
        MAX_ADVANCE_TOLERANCE_M,
    )? {
        train.advance_tolerance_m = v;
    }
    if let Some(v) = length_within_m(
        m,
        "steering-tolerance",
        "--steering-tolerance",
        0.0,
        MAX_STEERING_TOLERANCE_M,
    )? {
        train.steering_tolerance_m = v;
    }
    Ok(())
}

/// The smallest and largest diameter allowed, metres.
pub(crate) fn diameters_m(m: &ArgMatches) -> Result<(f64, f64), Failure> {
    const OPTION: &str = "--loop-diameter";
    let Some(t) = text(m, "loop-diameter") else {
        return Ok((DEFAULT_LOOP_DIAMETER_M, DEFAULT_LOOP_DIAMETER_M));
    };
    let read = |s: &str| {
        parse_length_m(s).map_err(|source| Failure::Measure {
            option: OPTION,
            source,
        })
    };
    // A range is two lengths with a dash between; a leading dash is a sign.
    let dash = t.char_indices().skip(1).find(|c| c.1 == '-').map(|c| c.0);
    let (low, high) = match dash {
        Some(i) => (read(&t[..i])?, read(&t[i + 1..])?),
        None => (read(t)?, read(t)?),
    };
    if low > 0.0 && low <= high && high <= MAX_LOOP_DIAMETER_M {
        Ok((low, high))
    } else {
        Err(Failure::Argument {
            option: OPTION,
            reason: format!(
                "'{t}' is no diameter up to {}, nor a range from a smaller to a larger one such as 20ft-22ft",
                shown_length(MAX_LOOP_DIAMETER_M, super::units(m)?)
            ),
        })
    }
}

fn number(t: &str) -> Option<f64> {
    t.trim().parse::<f64>().ok().filter(|v| v.is_finite())
}

/// Reads a heading: a bearing, `along`, `fewest`, or two hours such as `10-4` or `10:30-4:30`.
pub(crate) fn parse_heading(t: &str) -> Result<Heading, String> {
    let t = t.trim();
    match t.to_ascii_lowercase().as_str() {
        "along" => return Ok(Heading::Along),
        "fewest" => return Ok(Heading::Fewest),
        _ => {}
    }
    if let Some(deg) = number(t.trim_end_matches("deg").trim_end_matches('\u{b0}')) {
        return if (0.0..=360.0).contains(&deg) {
            Ok(Heading::Bearing { deg: deg % 360.0 })
        } else {
            Err(format!("{deg} is no bearing from 0 to 360 degrees"))
        };
    }
    let hint = "write a bearing such as 45, along, fewest, or hours such as 10-4 or 10:30-4:30";
    let (from, to) = t
        .split_once('-')
        .ok_or_else(|| format!("'{t}' is not known; {hint}"))?;
    let (Some(from_h), Some(to_h)) = (hour(from), hour(to)) else {
        return Err(format!("'{t}' is not known; {hint}"));
    };
    let apart = (to_h - from_h).rem_euclid(12.0);
    if (apart - 6.0).abs() > 1e-9 {
        return Err(format!(
            "'{t}': the two hours must lie opposite, such as {from}-{}",
            shown_hour((from_h + 6.0).rem_euclid(12.0))
        ));
    }
    Ok(Heading::Clock { from_h, to_h })
}

/// An hour such as `10`, `12` or `10:30`, in [0, 12].
fn hour(t: &str) -> Option<f64> {
    let (h, min) = t.trim().split_once(':').unwrap_or((t.trim(), "0"));
    let (h, min) = (h.parse::<u32>().ok()?, min.parse::<u32>().ok()?);
    (h <= 12 && min < 60).then_some(f64::from(h) + f64::from(min) / 60.0)
}

fn shown_hour(h: f64) -> String {
    let whole = if h < 1.0 { 12.0 } else { h.floor() };
    let min = ((h - h.floor()) * 60.0).round();
    if min > 0.0 {
        format!("{whole}:{min:02}")
    } else {
        format!("{whole}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_of_heading_is_read() {
        assert_eq!(parse_heading("along"), Ok(Heading::Along));
        assert_eq!(parse_heading("Fewest"), Ok(Heading::Fewest));
        assert_eq!(parse_heading("41.5"), Ok(Heading::Bearing { deg: 41.5 }));
        assert_eq!(parse_heading("360"), Ok(Heading::Bearing { deg: 0.0 }));
        assert_eq!(
            parse_heading("10-4"),
            Ok(Heading::Clock {
                from_h: 10.0,
                to_h: 4.0
            })
        );
        assert_eq!(
            parse_heading("10:30-4:30"),
            Ok(Heading::Clock {
                from_h: 10.5,
                to_h: 4.5
            })
        );
        assert_eq!(
            parse_heading("12-6"),
            Ok(Heading::Clock {
                from_h: 12.0,
                to_h: 6.0
            })
        );
    }

    #[test]
    fn odd_headings_are_refused_with_a_hint() {
        for (t, part) in [
            ("400", "no bearing"),
            ("-10", "no bearing"),
            ("NaN", "not known"),
            ("north", "hours such as 10-4"),
            ("10-5", "such as 10-4"),
            ("7:30-2", "such as 7:30-1:30"),
            ("6-1", "such as 6-12"),
            ("13-7", "not known"),
            ("", "not known"),
        ] {
            let e = parse_heading(t).unwrap_err();
            assert!(e.contains(part), "{t}: {e}");
        }
    }
}
