//! One planned and measured mow for each fairway, deck and pattern, and their sums.

use crate::effort::effort;
use crossgrain_core::inside::planner::plan_each_and;
use crossgrain_core::{
    Fairway, LoopForm, Mower, Pattern, PatternKind, PlanError, Settings, UsedSettings,
};
use crossgrain_metrics::Measures;
use crossgrain_metrics::measures::measure_without_lay;

/// A deck to try.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// As it was asked for: `100in`, or the mower's name.
    pub label: String,
    /// The mower.
    pub mower: Mower,
    /// What is asked of each pattern, in the order of the patterns: the overlap may depend on
    /// the deck.
    pub settings: Vec<Settings>,
}

/// One mow to plan: places in the lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Job {
    /// Which fairway.
    pub fairway: usize,
    /// Which deck.
    pub deck: usize,
    /// Which pattern.
    pub pattern: usize,
}

/// What a loop train adds to a row. Lengths in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoopFigures {
    /// Mean diameter.
    pub diameter_m: f64,
    /// Advance per loop.
    pub advance_m: f64,
    /// Lane spacing.
    pub lane_spacing_m: f64,
    /// Lanes.
    pub lanes: u32,
    /// Loops in the longest lane.
    pub loops_per_lane: u32,
    /// Form.
    pub form: LoopForm,
    /// Mean number of cuts of the lattice by itself.
    pub lattice_mean_cuts: f64,
}

/// One fairway, deck and pattern. Lengths in metres, areas in square metres.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeRow {
    /// Which fairway, deck and pattern, as places in the lists.
    pub job: Job,
    /// The fairway's name.
    pub fairway: String,
    /// The deck's label.
    pub deck: String,
    /// The pattern.
    pub pattern: PatternKind,
    /// Overlap asked for.
    pub asked_overlap_m: f64,
    /// Overlap that results after even spacing.
    pub overlap_m: f64,
    /// Spacing that fits evenly, for patterns of parallel passes.
    pub spacing_m: Option<f64>,
    /// For loop trains.
    pub loops: Option<LoopFigures>,
    /// Everything measured but the lay.
    pub measures: Measures,
    /// Minutes over those of plain stripes with the same deck; `None` for the stripes themselves
    /// and where stripes could not be planned.
    pub minutes_over_stripes: Option<f64>,
    /// Distance with the reels down over that of plain stripes with the same deck.
    pub distance_over_stripes: Option<f64>,
}

/// A mow that could not be planned, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Refusal {
    /// Which.
    pub job: Job,
    /// The fairway's name.
    pub fairway: String,
    /// The deck's label.
    pub deck: String,
    /// The pattern.
    pub pattern: PatternKind,
    /// The reason, in words.
    pub reason: String,
}

/// A deck and a pattern on the whole course: sums over the fairways it can mow.
#[derive(Debug, Clone, PartialEq)]
pub struct WholeRow {
    /// Which deck.
    pub deck_index: usize,
    /// Which pattern.
    pub pattern_index: usize,
    /// The deck's label.
    pub deck: String,
    /// The pattern.
    pub pattern: PatternKind,
    /// Fairways in the sums.
    pub fairways: usize,
    /// Fairways that could not be planned, not in the sums.
    pub refused: usize,
    /// Area of ground to mow.
    pub fairway_m2: f64,
    /// Passes.
    pub passes: usize,
    /// Fewest passes.
    pub pass_floor: usize,
    /// Area-weighted mean number of cuts.
    pub mean_cuts: f64,
    /// Driven with the reels down.
    pub mowing_m: f64,
    /// Driven with the reels up, within the fairways.
    pub transport_m: f64,
    /// Minutes, without the way from fairway to fairway.
    pub minutes: f64,
    /// Minutes of a shift that hold them: stops, emptying, the way from fairway to fairway.
    pub shift_minutes: f64,
    /// Ground that the deck cannot reach.
    pub trim_m2: f64,
    /// Minutes over those of stripes on the same fairways.
    pub minutes_over_stripes: Option<f64>,
}

/// All rows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SizeTable {
    /// Rows, by pattern, then fairway, then deck.
    pub rows: Vec<SizeRow>,
    /// Sums, by pattern, then deck.
    pub whole: Vec<WholeRow>,
    /// What could not be planned.
    pub refused: Vec<Refusal>,
}

/// A fairway and a deck, as places in the lists: all patterns of one are planned together,
/// because they share their groundwork.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pair {
    /// Which fairway.
    pub fairway: usize,
    /// Which deck.
    pub deck: usize,
}

/// All pairs of a table, the longest work first. They are independent: run them on as many threads
/// as there are.
pub fn pairs(fairways: &[&Fairway], decks: &[Candidate]) -> Vec<Pair> {
    let mut out: Vec<Pair> = (0..fairways.len())
        .flat_map(|fairway| (0..decks.len()).map(move |deck| Pair { fairway, deck }))
        .collect();
    let work = |p: &Pair| {
        let deck = &decks[p.deck].mower;
        effort(fairways[p.fairway], deck.cutting_width_m())
    };
    out.sort_by(|a, b| work(b).total_cmp(&work(a)));
    out
}

/// A row, or why there is none.
pub type RowResult = Result<SizeRow, Box<Refusal>>;

/// Plans and measures one pair in every pattern of the deck. [`Refusal`] where this deck cannot
/// mow this fairway in a pattern. A pair outside the lists gives nothing.
pub fn run(pair: Pair, fairways: &[&Fairway], decks: &[Candidate]) -> Vec<RowResult> {
    let (Some(fairway), Some(deck)) = (fairways.get(pair.fairway), decks.get(pair.deck)) else {
        return Vec::new();
    };
    let mows = plan_each_and(fairway, &deck.mower, &deck.settings, |mow, ground| {
        let measures = measure_without_lay(fairway, &deck.mower, &mow, ground.reach());
        (*mow.settings(), measures)
    });
    let asked = deck.settings.iter().enumerate();
    asked
        .zip(mows)
        .map(|((pattern, settings), mow)| {
            let job = Job {
                fairway: pair.fairway,
                deck: pair.deck,
                pattern,
            };
            row(job, fairway, deck, settings, mow)
        })
        .collect()
}

fn row(
    job: Job,
    fairway: &Fairway,
    deck: &Candidate,
    settings: &Settings,
    mow: Result<(UsedSettings, Measures), PlanError>,
) -> RowResult {
    let kind = settings.pattern.kind();
    let (used, measures) = mow.map_err(|e| {
        Box::new(Refusal {
            job,
            fairway: fairway.name().to_string(),
            deck: deck.label.clone(),
            pattern: kind,
            reason: e.to_string(),
        })
    })?;
    Ok(SizeRow {
        job,
        fairway: fairway.name().to_string(),
        deck: deck.label.clone(),
        pattern: kind,
        asked_overlap_m: settings.overlap_m,
        overlap_m: used.overlap_m,
        spacing_m: used.spacing_m,
        loops: match settings.pattern {
            Pattern::Loops(_) => loop_figures(&used),
            _ => None,
        },
        measures,
        minutes_over_stripes: None,
        distance_over_stripes: None,
    })
}

fn loop_figures(used: &UsedSettings) -> Option<LoopFigures> {
    Some(LoopFigures {
        diameter_m: used.loop_diameter_m?,
        advance_m: used.advance_m?,
        lane_spacing_m: used.lane_spacing_m?,
        lanes: used.lanes.unwrap_or(0),
        loops_per_lane: used.loops_per_lane.unwrap_or(0),
        form: used.form?,
        lattice_mean_cuts: used.lattice_mean_cuts?,
    })
}

/// Puts finished jobs together: compares each with the stripes of the same deck, and adds up.
///
/// `stripes` is the place of plain stripes among the patterns, if they were run; patterns from
/// `shown` on (the stripes that were only run to compare with) stay out of the table.
pub fn table(results: Vec<RowResult>, stripes: Option<usize>, shown: usize) -> SizeTable {
    let mut out = SizeTable::default();
    let mut all = Vec::new();
    let mut results = results;
    results.sort_by_key(|r| {
        let job = match r {
            Ok(row) => row.job,
            Err(refusal) => refusal.job,
        };
        (job.pattern, job.fairway, job.deck)
    });
    for r in results {
        match r {
            Ok(row) => all.push(row),
            Err(refusal) if refusal.job.pattern < shown => out.refused.push(*refusal),
            Err(_) => {}
        }
    }
    let base: Vec<(usize, usize, f64, f64)> = all
        .iter()
        .filter(|r| Some(r.job.pattern) == stripes)
        .map(|r| {
            (
                r.job.fairway,
                r.job.deck,
                r.measures.minutes,
                r.measures.mowing_m,
            )
        })
        .collect();
    let stripes_of = |job: Job| {
        base.iter()
            .find(|b| b.0 == job.fairway && b.1 == job.deck)
            .map(|b| (b.2, b.3))
    };
    for row in &mut all {
        if Some(row.job.pattern) == stripes {
            continue;
        }
        if let Some((minutes, mowing)) = stripes_of(row.job) {
            row.minutes_over_stripes = ratio(row.measures.minutes, minutes);
            row.distance_over_stripes = ratio(row.measures.mowing_m, mowing);
        }
    }
    all.retain(|r| r.job.pattern < shown);
    out.whole = whole(&all);
    for w in &mut out.whole {
        w.refused = out
            .refused
            .iter()
            .filter(|r| (r.job.pattern, r.job.deck) == (w.pattern_index, w.deck_index))
            .count();
        if Some(w.pattern_index) != stripes {
            // Only fairways that both could mow are compared.
            let (mut own, mut theirs) = (0.0, 0.0);
            for row in all
                .iter()
                .filter(|r| (r.job.pattern, r.job.deck) == (w.pattern_index, w.deck_index))
            {
                if let Some((minutes, _)) = stripes_of(row.job) {
                    own += row.measures.minutes;
                    theirs += minutes;
                }
            }
            w.minutes_over_stripes = ratio(own, theirs);
        }
    }
    out.whole.sort_by_key(|w| (w.pattern_index, w.deck_index));
    out.rows = all;
    out
}

/// The sums of each pattern and deck over all fairways.
fn whole(rows: &[SizeRow]) -> Vec<WholeRow> {
    let mut out: Vec<WholeRow> = Vec::new();
    for row in rows {
        let at = (row.job.pattern, row.job.deck);
        let m = &row.measures;
        let place = out
            .iter()
            .position(|w| (w.pattern_index, w.deck_index) == at)
            .unwrap_or_else(|| {
                out.push(WholeRow {
                    deck_index: row.job.deck,
                    pattern_index: row.job.pattern,
                    deck: row.deck.clone(),
                    pattern: row.pattern,
                    fairways: 0,
                    refused: 0,
                    fairway_m2: 0.0,
                    passes: 0,
                    pass_floor: 0,
                    mean_cuts: 0.0,
                    mowing_m: 0.0,
                    transport_m: 0.0,
                    minutes: 0.0,
                    shift_minutes: 0.0,
                    trim_m2: 0.0,
                    minutes_over_stripes: None,
                });
                out.len() - 1
            });
        let w = &mut out[place];
        w.fairways += 1;
        w.fairway_m2 += m.fairway_m2;
        w.passes += m.passes;
        w.pass_floor += m.pass_floor;
        // The weighted sum for now; divided below.
        w.mean_cuts += m.mean_cuts * m.fairway_m2;
        w.mowing_m += m.mowing_m;
        w.transport_m += m.transport_m;
        w.minutes += m.minutes;
        w.shift_minutes += m.shift_minutes;
        w.trim_m2 += m.trim_m2;
    }
    for w in &mut out {
        w.mean_cuts = ratio(w.mean_cuts, w.fairway_m2).unwrap_or(0.0);
    }
    out
}

fn ratio(a: f64, b: f64) -> Option<f64> {
    (b > 0.0).then(|| a / b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn row(fairway: usize, deck: usize, pattern: usize, minutes: f64) -> SizeRow {
        SizeRow {
            job: Job {
                fairway,
                deck,
                pattern,
            },
            fairway: format!("{fairway}"),
            deck: format!("d{deck}"),
            pattern: [PatternKind::Loops, PatternKind::Stripes][pattern],
            asked_overlap_m: 0.1,
            overlap_m: 0.12,
            spacing_m: None,
            loops: None,
            measures: Measures {
                fairway_m2: 1000.0 * (fairway as f64 + 1.0),
                mean_cuts: 1.0 + fairway as f64,
                minutes,
                mowing_m: 100.0 * minutes,
                passes: 3,
                ..Measures::default()
            },
            minutes_over_stripes: None,
            distance_over_stripes: None,
        }
    }

    #[test]
    fn loops_are_compared_with_the_stripes_of_the_same_deck() {
        let t = table(
            vec![
                Ok(row(0, 0, 0, 30.0)),
                Ok(row(1, 0, 0, 20.0)),
                Ok(row(0, 0, 1, 10.0)),
                Ok(row(1, 0, 1, 10.0)),
            ],
            Some(1),
            1,
        );
        // The stripes were only run to compare with.
        assert_eq!(t.rows.len(), 2);
        assert_eq!(t.whole.len(), 1);
        assert_eq!(t.rows[0].minutes_over_stripes, Some(3.0));
        assert_eq!(t.whole[0].minutes_over_stripes, Some(2.5));
        assert_relative_eq!(t.whole[0].mean_cuts, (1000.0 + 2.0 * 2000.0) / 3000.0);
        assert_eq!(t.whole[0].passes, 6);
    }

    #[test]
    fn a_refused_fairway_is_counted_and_left_out_of_the_sums() {
        let no = Refusal {
            job: Job {
                fairway: 1,
                deck: 0,
                pattern: 0,
            },
            fairway: "1".into(),
            deck: "d0".into(),
            pattern: PatternKind::Loops,
            reason: "too tight".into(),
        };
        let t = table(vec![Ok(row(0, 0, 0, 30.0)), Err(Box::new(no))], None, 2);
        assert_eq!((t.whole[0].fairways, t.whole[0].refused), (1, 1));
        assert_eq!(t.refused.len(), 1);
        assert_eq!(t.whole[0].minutes_over_stripes, None);
    }

    #[test]
    fn rows_come_by_pattern_then_fairway_then_deck() {
        // As they are run: all patterns of one pair together.
        let results = [(1, 2), (0, 1), (1, 0), (0, 0), (1, 1), (0, 2)]
            .into_iter()
            .flat_map(|(f, d)| [row(f, d, 0, 30.0), row(f, d, 1, 30.0)])
            .map(Ok)
            .collect();
        let t = table(results, None, 2);
        let at = |i: usize| {
            (
                t.rows[i].job.pattern,
                t.rows[i].job.fairway,
                t.rows[i].job.deck,
            )
        };
        assert_eq!(t.rows.len(), 12);
        assert_eq!((at(1), at(6)), ((0, 0, 1), (1, 0, 0)));
    }
}
