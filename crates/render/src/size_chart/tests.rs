use super::*;
use crate::words::Language;
use crossgrain_core::LoopForm;
use crossgrain_metrics::Measures;
use crossgrain_season::sizing::{Job, LoopFigures, table};

const KINDS: [PatternKind; 3] = [
    PatternKind::Stripes,
    PatternKind::Loops,
    PatternKind::Contour,
];

/// Invented figures that vary from row to row.
fn row(job: Job, fairway: &str, deck: &str) -> SizeRow {
    let kind = KINDS[job.pattern];
    let n = (job.fairway * 7 + job.deck * 3) as f64;
    SizeRow {
        job,
        fairway: fairway.to_string(),
        deck: deck.to_string(),
        pattern: kind,
        asked_overlap_m: 0.1,
        overlap_m: 0.1 + n / 700.0,
        spacing_m: Some(2.4),
        loops: (kind == PatternKind::Loops).then_some(LoopFigures {
            diameter_m: 6.7,
            advance_m: 2.9,
            lane_spacing_m: 8.4,
            lanes: 4,
            loops_per_lane: 90,
            form: LoopForm::Drift,
            lattice_mean_cuts: 2.2,
        }),
        measures: Measures {
            fairway_m2: 6000.0,
            minutes: 25.0 + n,
            mowing_m: 5000.0,
            passes: 14,
            pass_floor: 12,
            trim_m2: 10.0 * n,
            ..Measures::default()
        },
        minutes_over_stripes: None,
        distance_over_stripes: None,
    }
}

fn chart(fairways: usize, decks: usize, paper: Paper, words: &Words) -> Vec<Drawing> {
    let names: Vec<String> = (0..fairways)
        .map(|f| match f {
            3 => "the long one by the <old> mill & pond".to_string(),
            _ => (f + 1).to_string(),
        })
        .collect();
    let labels: Vec<String> = (0..decks).map(|d| format!("{} in", 84 + 16 * d)).collect();
    let results = (0..fairways * decks * KINDS.len())
        .map(|i| Job {
            fairway: i / (decks * KINDS.len()),
            deck: i / KINDS.len() % decks,
            pattern: i % KINDS.len(),
        })
        .map(|j| {
            if j.fairway == 2 && j.pattern == 1 {
                Err(Box::new(Refusal {
                    job: j,
                    fairway: names[j.fairway].clone(),
                    deck: labels[j.deck].clone(),
                    pattern: KINDS[j.pattern],
                    reason: "loops of 3.00 m cannot be driven".to_string(),
                }))
            } else {
                Ok(row(j, &names[j.fairway], &labels[j.deck]))
            }
        })
        .collect();
    let head = ChartHead {
        course: "Quillback Landing".to_string(),
        decks: labels,
        patterns: KINDS.to_vec(),
        overlap_m: 0.1,
        clean_up: 2,
    };
    size_chart(&table(results, Some(0), KINDS.len()), &head, paper, words)
}

#[test]
fn no_two_texts_meet_on_any_paper_in_any_language() {
    for language in Language::ALL {
        for units in [UnitSystem::Us, UnitSystem::Metric] {
            let words = Words::of(language, units);
            for paper in Paper::ALL {
                for (fairways, decks) in [(1, 1), (9, 3), (18, 2), (27, 7)] {
                    for page in chart(fairways, decks, paper, &words) {
                        let faults = page.text_faults();
                        assert!(
                            faults.is_empty(),
                            "{language:?} {units:?} {paper:?} {fairways}x{decks}: {faults:?}"
                        );
                    }
                }
            }
        }
    }
}

#[test]
fn every_fairway_and_deck_is_on_the_chart() {
    let words = Words::of(Language::English, UnitSystem::Us);
    let pages = chart(27, 5, Paper::Letter, &words);
    let texts: Vec<String> = pages
        .iter()
        .flat_map(|p| p.texts().into_iter().map(|t| t.content.clone()))
        .collect();
    for name in ["1", "27", "84 in", "148 in", "Loops", "Page 1 of"] {
        assert!(texts.iter().any(|t| t.starts_with(name)), "{name}");
    }
    assert!(pages.len() > 1);
}

#[test]
fn nothing_to_show_is_still_a_page() {
    let words = Words::of(Language::English, UnitSystem::Us);
    let head = ChartHead {
        course: String::new(),
        decks: Vec::new(),
        patterns: Vec::new(),
        overlap_m: 0.1,
        clean_up: 0,
    };
    assert_eq!(
        size_chart(&SizeTable::default(), &head, Paper::A4, &words).len(),
        1
    );
}
