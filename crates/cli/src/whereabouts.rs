//! Spots on a fairway in words.

use crossgrain_core::inside::ground::whereabouts::{Part, Spot, whereabouts};
use crossgrain_core::{Fairway, KeepOutKind};

/// Where a spot, metres east and north, lies, such as `near the green, right edge, beside the bunker`.
pub(crate) fn place(fairway: &Fairway, at_m: (f64, f64)) -> String {
    let (spot, beside) = whereabouts(fairway, at_m.into());
    let mut text = match spot {
        Spot::OnHole { along, across } => format!(
            "{}, {}",
            match along {
                Part::First => "near the tee",
                Part::Middle => "halfway",
                Part::Last => "near the green",
            },
            match across {
                Part::First => "right edge",
                Part::Middle => "in the middle",
                Part::Last => "left edge",
            }
        ),
        Spot::ByCompass(None) => "in the middle".to_string(),
        Spot::ByCompass(Some(eighth)) => {
            let points = [
                "north",
                "north-east",
                "east",
                "south-east",
                "south",
                "south-west",
                "west",
                "north-west",
            ];
            format!("in the {}", points[usize::from(eighth) % points.len()])
        }
    };
    if let Some(kind) = beside {
        text.push_str(&format!(", beside the {}", keep_out(kind)));
    }
    text
}

fn keep_out(kind: KeepOutKind) -> &'static str {
    match kind {
        KeepOutKind::OutOfBounds => "out of bounds",
        KeepOutKind::KeepOff | KeepOutKind::Other => "keep-out",
        other => other.word(),
    }
}
