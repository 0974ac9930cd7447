//! The drive in sentences: one template a sentence, filled from what the drive itself is.

use crate::telling::{Gap, LineKind, LineOrder, PageWay, Place, StepTold, SweepStart, Work, told};
use crate::view::up_rad;
use crate::words::Words;
use crossgrain_core::{Fairway, Mow, Sense};

/// One step in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepSaid {
    /// The letter that stands on the map.
    pub letter: String,
    /// Its sentences: what to do, what is passed, what comes if there is no way on.
    pub sentences: Vec<String>,
    /// Whether they speak of sides that follow the page.
    pub sided: bool,
}

/// Every step of a mow in words.
pub fn said(fairway: &Fairway, mow: &Mow, words: &Words) -> Vec<StepSaid> {
    (told(fairway, mow, up_rad(fairway)).iter())
        .map(|s| sentences(s, words))
        .collect()
}

/// One row of the list of steps: a step, or several patches that follow each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// What it says.
    pub said: StepSaid,
    /// The steps it tells.
    pub steps: std::ops::Range<usize>,
    /// The part of the fairway they lie on.
    pub part: usize,
}

/// Fewer patches than this in a row have a row each.
const MIN_TOGETHER: usize = 3;

/// The steps as a list: patches that follow each other on one part share a row, because they are
/// all done alike and found by their letters on the map.
pub fn rows(fairway: &Fairway, mow: &Mow, words: &Words) -> Vec<Row> {
    let all = told(fairway, mow, up_rad(fairway));
    let mut out = Vec::new();
    let mut i = 0;
    while i < all.len() {
        let mut end = i + 1;
        while end < all.len()
            && together(&all[end - 1])
            && together(&all[end])
            && !all[end].next_part
        {
            end += 1;
        }
        let part = mow.steps().get(i).map_or(0, |s| s.part);
        if end - i >= MIN_TOGETHER {
            out.push(Row {
                said: patches(&all[i..end], words),
                steps: i..end,
                part,
            });
        } else {
            for (k, step) in all.iter().enumerate().take(end).skip(i) {
                out.push(Row {
                    said: sentences(step, words),
                    steps: k..k + 1,
                    part,
                });
            }
        }
        i = end;
    }
    out
}

fn together(step: &StepTold) -> bool {
    matches!(step.work, Work::Patch { .. }) && !step.stop_here
}

/// Several patches in one row: their letters from the first to the last.
fn patches(steps: &[StepTold], words: &Words) -> StepSaid {
    let (mut passes, mut all_short) = (0, true);
    for s in steps {
        if let Work::Patch {
            passes: n, short, ..
        } = &s.work
        {
            passes += n;
            all_short &= short;
        }
    }
    let key = if all_short {
        "patch.places_short"
    } else {
        "patch.places"
    };
    let mut sentences = Vec::new();
    if steps[0].next_part {
        sentences.push(words.say("next_part").to_string());
    }
    sentences.push(words.fill(
        key,
        &[
            ("places", &steps.len().to_string()),
            ("count", &passes.to_string()),
        ],
    ));
    StepSaid {
        letter: format!("{}–{}", steps[0].letter, steps[steps.len() - 1].letter),
        sentences,
        sided: false,
    }
}

/// What left, right and up mean, to stand once below the steps; none where no sentence uses them.
pub fn sides(rows: &[Row], fairway: &Fairway, words: &Words) -> Option<String> {
    let key = if fairway.hole_line().is_some() {
        "sides.green"
    } else {
        "sides.map"
    };
    (rows.iter().any(|r| r.said.sided)).then(|| words.say(key).to_string())
}

fn sentences(step: &StepTold, words: &Words) -> StepSaid {
    let mut out = Vec::new();
    let mut sided = false;
    if step.next_part {
        out.push(words.say("next_part").to_string());
    }
    match &step.work {
        Work::Circuit {
            rounds,
            around,
            sense,
        } => {
            let thing = around.map_or("", |k| words.say(thing_key(k)));
            let times = counted(words, "rounds", *rounds);
            let places = [
                ("rounds", times.as_str()),
                ("thing", thing),
                ("sense", sense.map_or("", |s| words.say(sense_key(s)))),
            ];
            out.push(words.fill(
                match (around.is_some(), sense.is_some()) {
                    (false, true) => "circuit.edge",
                    (false, false) => "circuit.edge_plain",
                    (true, true) => "circuit.thing",
                    (true, false) => "circuit.thing_plain",
                },
                &places,
            ));
        }
        Work::Lines {
            kind,
            count,
            across,
            order,
            one_way,
        } => {
            sided = across.is_some() || one_way.is_some();
            out.push(lines(*kind, *count, *across, order, words));
            if let Some(way) = one_way {
                out.push(words.fill("one_way", &[("way", way_word(*way, words))]));
            }
        }
        Work::Rings { count, sense } => {
            let places = [
                ("count", &*count.to_string()),
                ("sense", sense.map_or("", |s| words.say(sense_key(s)))),
            ];
            out.push(words.fill(
                match (count, sense) {
                    (1, Some(_)) => "rings.one",
                    (1, None) => "rings.one_plain",
                    (_, Some(_)) => "rings.many",
                    (_, None) => "rings.many_plain",
                },
                &places,
            ));
        }
        Work::Patch {
            passes,
            short,
            place,
        } => out.push(patch(*passes, *short, *place, words)),
    }
    let rings = matches!(step.work, Work::Rings { .. });
    out.extend(step.gaps.iter().map(|g| gap(g, rings, words)));
    if step.stop_here {
        out.push(words.say("stop_here").to_string());
    }
    StepSaid {
        letter: step.letter.clone(),
        sentences: out,
        sided,
    }
}

fn patch(passes: usize, short: bool, place: Place, words: &Words) -> String {
    let passes = match (passes, short) {
        (1, true) => words.say("patch.short_one").to_string(),
        (1, false) => words.say("patch.pass_one").to_string(),
        (n, true) => words.fill("patch.short", &[("count", &n.to_string())]),
        (n, false) => words.fill("patch.passes", &[("count", &n.to_string())]),
    };
    let (key, thing) = match place {
        Place::Edge => ("patch.edge", ""),
        Place::Inside => ("patch.inside", ""),
        Place::Beside(kind) => ("patch.thing", words.say(thing_key(kind))),
    };
    words.fill(key, &[("passes", &passes), ("thing", thing)])
}

fn lines(
    kind: LineKind,
    count: usize,
    across: Option<PageWay>,
    order: &LineOrder,
    words: &Words,
) -> String {
    let key = match kind {
        LineKind::Stripe => "what.stripe",
        LineKind::Crossing => "what.crossing",
        LineKind::Bend => "what.bend",
        LineKind::Lane => "what.lane",
    };
    let what = if count == 1 {
        words.say(&format!("{key}.one")).to_string()
    } else {
        words.fill(key, &[("count", &count.to_string())])
    };
    let Some(across) = across else {
        return words.fill("lines.one", &[("what", &what)]);
    };
    let to_side = words.say(match across {
        PageWay::Right => "across.right",
        PageWay::Left => "across.left",
        PageWay::Up => "across.up",
        PageWay::Down => "across.down",
    });
    let places = [("what", what.as_str()), ("across", to_side)];
    match order {
        LineOrder::Next if kind == LineKind::Lane => words.fill("lines.lanes", &places),
        LineOrder::Next => words.fill("lines.next", &places),
        LineOrder::Every { k, starts } => words.fill(
            "lines.every",
            &[
                places[0],
                places[1],
                ("every", &counted(words, "every", *k as usize)),
                ("times", &counted(words, "times", starts.len())),
                ("firsts", &firsts(starts, words)),
            ],
        ),
        LineOrder::Halves { half, way } => words.fill(
            "lines.halves",
            &[
                places[0],
                ("half", half_word(*half, words)),
                ("way", way_word(*way, words)),
                ("other", half_word(half.back(), words)),
                ("back", way_word(way.back(), words)),
            ],
        ),
    }
}

/// "1, then 2, then back from 9".
fn firsts(starts: &[SweepStart], words: &Words) -> String {
    let mut out = String::new();
    for (i, s) in starts.iter().enumerate() {
        let key = match (i, s.back) {
            (0, _) => "firsts.first",
            (_, false) => "firsts.then",
            (_, true) => "firsts.back",
        };
        if i > 0 {
            out.push_str(", ");
        }
        out.push_str(&words.fill(key, &[("place", &s.place.to_string())]));
    }
    out
}

fn gap(gap: &Gap, rings: bool, words: &Words) -> String {
    let key = match (rings, gap.past.is_some(), gap.round) {
        (true, true, _) => "gap.ring_thing",
        (true, false, _) => "gap.ring",
        (false, true, true) => "gap.thing_round",
        (false, true, false) => "gap.thing_straight",
        (false, false, true) => "gap.round",
        (false, false, false) => "gap.straight",
    };
    let thing = gap.past.map_or("", |k| words.say(thing_key(k)));
    words.fill(key, &[("thing", thing)])
}

/// The text of a number: its own key where the language has one, else the general one.
fn counted(words: &Words, key: &str, n: usize) -> String {
    let own = format!("{key}.{n}");
    let text = words.say(&own);
    if text != own {
        return text.to_string();
    }
    words.fill(&format!("{key}.n"), &[("count", &n.to_string())])
}

fn half_word(half: PageWay, words: &Words) -> &str {
    words.say(match half {
        PageWay::Right => "half.right",
        PageWay::Left => "half.left",
        PageWay::Up => "half.up",
        PageWay::Down => "half.down",
    })
}

fn way_word(way: PageWay, words: &Words) -> &str {
    words.say(match way {
        PageWay::Right => "go.right",
        PageWay::Left => "go.left",
        PageWay::Up => "go.up",
        PageWay::Down => "go.down",
    })
}

/// The key of a sense's word.
pub fn sense_key(sense: Sense) -> &'static str {
    match sense {
        Sense::Clockwise => "sense.cw",
        Sense::CounterClockwise => "sense.ccw",
    }
}

/// The key of what a keep-out is called in a sentence, with its article.
pub fn thing_key(kind: crossgrain_core::KeepOutKind) -> &'static str {
    use crossgrain_core::KeepOutKind as Kind;
    match kind {
        Kind::Bunker => "thing.bunker",
        Kind::Water => "thing.water",
        Kind::Stream => "thing.stream",
        Kind::Wetland => "thing.wetland",
        Kind::Trees => "thing.trees",
        Kind::Scrub => "thing.scrub",
        Kind::Green => "thing.green",
        Kind::Tee => "thing.tee",
        Kind::OutOfBounds => "thing.out-of-bounds",
        Kind::Path => "thing.path",
        Kind::KeepOff => "thing.keep-off",
        // And whatever is new.
        _ => "thing.other",
    }
}
