//! The foot of a board: what is not mown, whom to call, what the signs mean, the sum.

use super::BoardInput;
use crate::lettering::clean;
use crate::words::Words;
use crossgrain_season::day::NotMown;

pub(super) fn count_text(n: usize, words: &Words) -> String {
    if n == 1 {
        words.say("board.one").to_string()
    } else {
        words.fill("board.many", &[("count", &n.to_string())])
    }
}

/// What is not mown today, and why.
fn not_mown(input: &BoardInput<'_>) -> Vec<String> {
    let words = input.words;
    let not_mown = (input.day.not_mown.iter()).map(|(fairway, why)| {
        let key = match why {
            NotMown::LeftOut => "board.left_out",
            NotMown::NoMachine => "board.no_machine",
        };
        words.fill(key, &[("fairway", &clean(fairway))])
    });
    let cancelled = (input.cancelled.iter()).map(|(fairway, why)| {
        // The sky has words of its own; what closes a day is told as the rules have it.
        let why = match why.as_str() {
            "frost" => words.say("board.frost").to_string(),
            "wet" => words.say("board.wet").to_string(),
            other => clean(other),
        };
        words.fill(
            "board.cancelled",
            &[("fairway", &clean(fairway)), ("why", &why)],
        )
    });
    not_mown.chain(cancelled).collect()
}

/// The lines at the foot of a board.
pub(super) fn foot(input: &BoardInput<'_>) -> Vec<String> {
    let words = input.words;
    let off = not_mown(input);
    let mut out = Vec::new();
    if !off.is_empty() {
        out.push(format!(
            "{} {}",
            words.say("board.not_mown"),
            off.join(", ")
        ));
    }
    let crew = input.crew.lines(words);
    if !crew.is_empty() {
        out.push(crew.join(" "));
    }
    out.push(words.say("board.key").to_string());
    out.push(words.say("notice.clear").to_string());
    if input.crew.sprinkler_heads.is_empty() && input.crew.yardage_plates.is_empty() {
        out.push(words.say("notice.turf").to_string());
    }
    out.push(words.say("notice.manual").to_string());
    let total = words.fill(
        "board.total",
        &[
            ("count", &count_text(input.entries.len(), words)),
            ("time", &words.minutes(input.day.minutes())),
        ],
    );
    let programme = words.fill(
        "board.programme",
        &[
            ("issue", &input.issue.to_string()),
            ("number", input.plan.0),
            ("date", input.plan.1),
        ],
    );
    out.push(format!("{total}. {programme}"));
    out
}
