//! The foot of a board: what is not mown, whom to call, what the signs mean, the sum.

use super::BoardInput;
use super::row::capital;
use crate::crew::ForCrew;
use crate::lettering::clean;
use crate::reasons::later_of;
use crate::words::Words;
use crossgrain_season::day::{Day, NotMown, Turn};

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

/// Why the whole morning is later, where every mower waits as long for the same reason.
pub(super) fn all_later(input: &BoardInput<'_>) -> Option<String> {
    let first = input.entries.first()?.turn.visit.later_min;
    let same = (input.entries.iter()).all(|e| e.turn.visit.later_min == first);
    let why = later_of(&input.entries.first()?.turn.visit, input.words)?;
    same.then(|| capital(&why))
}

/// Whether the first group comes before the mower is through.
pub(super) fn behind_play(crew: &ForCrew<'_>, turn: &Turn) -> bool {
    let at = crew.players_at(&turn.visit.fairway, turn.start);
    at.is_some_and(|at| at < Day::end(turn))
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
    out.extend(all_later(input));
    let crew = input.crew.lines(words);
    if !crew.is_empty() {
        out.push(crew.join(" "));
    }
    let mut key = vec![words.say("board.key")];
    if (input.entries.iter()).any(|e| behind_play(&input.crew, e.turn)) {
        key.push(words.say("board.players"));
    }
    out.push(key.join(" "));
    let mut ground = vec![words.say("notice.clear")];
    if input.crew.sprinkler_heads.is_empty() && input.crew.yardage_plates.is_empty() {
        ground.push(words.say("notice.turf"));
    }
    ground.push(words.say("notice.manual"));
    out.push(ground.join(" "));
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
