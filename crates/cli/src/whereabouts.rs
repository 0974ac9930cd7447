//! Spots on a fairway in words.

use crossgrain_core::inside::ground::whereabouts::{Across, Along, Spot, whereabouts};
use crossgrain_core::{Fairway, KeepOutKind};

/// Where a spot, metres east and north, lies, such as `near the green, right edge, beside the bunker`.
pub(crate) fn place(fairway: &Fairway, at_m: (f64, f64)) -> String {
    let w = whereabouts(fairway, at_m);
    let mut text = match w.spot {
        Spot::OnHole(along, across) => format!(
            "{}, {}",
            match along {
                Along::NearTee => "near the tee",
                Along::Halfway => "halfway",
                Along::NearGreen => "near the green",
            },
            match across {
                Across::LeftEdge => "left edge",
                Across::Middle => "in the middle",
                Across::RightEdge => "right edge",
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
    if let Some(kind) = w.beside {
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
