//! The size table for the terminal.

use crate::terminal::table;
use crossgrain_core::PatternKind;
use crossgrain_formats::size::FitRow;
use crossgrain_render::words::Words;
use crossgrain_season::sizing::{SizeRow, SizeTable, WholeRow};

/// One table a pattern, with sums for the course.
pub(super) fn sizes(t: &SizeTable, w: &Words) -> String {
    let mut kinds: Vec<PatternKind> = Vec::new();
    for r in &t.rows {
        if !kinds.contains(&r.pattern) {
            kinds.push(r.pattern);
        }
    }
    let blocks: Vec<String> = kinds.into_iter().map(|k| block(t, k, w)).collect();
    blocks.join("\n\n")
}

fn block(t: &SizeTable, kind: PatternKind, w: &Words) -> String {
    let loops = kind == PatternKind::Loops;
    let mut head = vec!["fairway", "deck", "passes", "floor"];
    // Only loops have a third figure of their own.
    head.extend::<&[&str]>(if loops {
        &["advance", "lane spacing", "lanes"]
    } else {
        &["spacing", "overlap"]
    });
    let own = head.len() - 4;
    head.extend([
        "mean cuts",
        "mowing",
        "reels up",
        "minutes",
        "in a shift",
        "x stripes",
        "trim",
    ]);
    let rows = t.rows.iter().filter(|r| r.pattern == kind);
    let whole = t.whole.iter().filter(|x| x.pattern == kind);
    let rows: Vec<Vec<String>> = rows
        .map(|r| row(r, loops, w))
        .chain(whole.map(|x| total(x, own, w)))
        .collect();
    let mut right = vec![false, false];
    right.resize(head.len(), true);
    format!("{}\n{}", kind.word(), table(&head, &rows, &right))
}

fn ratio(r: Option<f64>) -> String {
    r.map_or(String::new(), |r| format!("{r:.2}"))
}

fn row(r: &SizeRow, loops: bool, w: &Words) -> Vec<String> {
    let m = &r.measures;
    let mut cells = vec![
        r.fairway.clone(),
        r.deck.clone(),
        m.passes.to_string(),
        m.pass_floor.to_string(),
    ];
    if loops {
        cells.extend(loop_cells(r, w));
    } else {
        cells.push(r.spacing_m.map_or(String::new(), |s| w.width(s)));
        cells.push(w.overlap(r.overlap_m));
    }
    cells.extend([
        format!("{:.2}", m.mean_cuts),
        w.ground(m.mowing_m),
        w.ground(m.transport_m),
        format!("{:.0}", m.minutes),
        format!("{:.0}", m.shift_minutes),
        ratio(r.minutes_over_stripes),
        w.patch(m.trim_m2),
    ]);
    cells
}

/// The sum for one deck, with `own` columns that no sum has.
fn total(whole: &WholeRow, own: usize, w: &Words) -> Vec<String> {
    let mut cells = vec![
        if whole.refused > 0 {
            format!("all but {}", whole.refused)
        } else {
            "all".to_string()
        },
        whole.deck.clone(),
        whole.passes.to_string(),
        whole.pass_floor.to_string(),
    ];
    cells.resize(4 + own, String::new());
    cells.extend([
        format!("{:.2}", whole.mean_cuts),
        w.ground(whole.mowing_m),
        w.ground(whole.transport_m),
        format!("{:.0}", whole.minutes),
        format!("{:.0}", whole.shift_minutes),
        ratio(whole.minutes_over_stripes),
        w.patch(whole.trim_m2),
    ]);
    cells
}

fn loop_cells(r: &SizeRow, w: &Words) -> [String; 3] {
    match &r.loops {
        Some(l) => [
            w.reach(l.advance_m),
            w.reach(l.lane_spacing_m),
            l.lanes.to_string(),
        ],
        None => [String::new(), String::new(), String::new()],
    }
}

/// The deck or the overlap for a number of passes.
pub(super) fn fits(fits: &[FitRow], w: &Words) -> String {
    let rows: Vec<Vec<String>> = fits
        .iter()
        .map(|f| {
            vec![
                f.fairway.clone(),
                f.deck.clone(),
                w.ground(f.fit.across_m),
                match f.fit.overlap_m {
                    Some(o) if o >= 0.0 => w.overlap(o),
                    Some(o) => format!("gaps of {}", w.overlap(-o)),
                    None => String::new(),
                },
                w.width(f.fit.deck_needed_m),
                f.fit.fewest_passes.to_string(),
                if f.fit.enough { "yes" } else { "no" }.to_string(),
            ]
        })
        .collect();
    let passes = fits.first().map_or(0, |f| f.fit.passes);
    format!(
        "in {passes} parallel pass(es)\n{}",
        table(
            &[
                "fairway",
                "deck",
                "across",
                "overlap with this deck",
                "deck needed at the overlap asked",
                "fewest passes of this deck",
                "enough",
            ],
            &rows,
            &[false, false, true, true, true, true, true],
        )
    )
}
