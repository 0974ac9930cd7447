//! What to set before leaving: a row of boxes with one figure each.

use super::blocks::SheetBlock;
use crate::drawing::{Anchor, Pen, Shape, Stroke};
use crate::ink::{BLACK, SMALL_MM, THIN_MM, VALUE_MM, WHITE};
use crate::lettering::{Rect, Weight, baseline_mm, fit_mm, shorten, width_mm};
use crate::signs::sense_sign;
use crate::words::Words;
use crossgrain_core::{Mow, Mower, PatternKind, Role, Sense};

/// One thing to set on the mower.
#[derive(Debug, Clone)]
pub(super) struct Setting {
    /// What.
    pub label: String,
    /// To what; empty for a line to write on.
    pub value: String,
    /// A sense sign in front of the value.
    pub sense: Option<Sense>,
}

/// What to set for a mow.
pub(super) fn settings(
    mow: &Mow,
    mower: &Mower,
    height_of_cut_m: Option<f64>,
    words: &Words,
) -> Vec<Setting> {
    let plain = |key: &str, value: String| Setting {
        label: words.say(key).to_string(),
        value,
        sense: None,
    };
    let mut out = vec![
        plain(
            "height_of_cut",
            height_of_cut_m.map_or(String::new(), |h| words.height_of_cut(h)),
        ),
        plain("deck", words.width(mower.cutting_width_m())),
    ];
    match mow.pattern() {
        PatternKind::Loops => {
            if let Some(d) = mow.settings().loop_diameter_m {
                out.push(plain("loop_diameter", words.reach(d)));
            }
            out.push(Setting {
                sense: Some(mow.sense()),
                ..plain(
                    "loops_sense",
                    words.say(sense_turn_key(mow.sense())).to_string(),
                )
            });
        }
        PatternKind::Rings => {
            out.push(plain("overlap", words.overlap(mow.settings().overlap_m)));
            out.push(Setting {
                sense: Some(mow.sense()),
                ..plain(
                    "rings_sense",
                    words.say(sense_turn_key(mow.sense())).to_string(),
                )
            });
        }
        _ => out.push(plain("overlap", words.overlap(mow.settings().overlap_m))),
    }
    let rings = clean_up_rings(mow);
    if rings > 0 {
        let n = rings;
        let value = if n == 1 {
            words.say("cleanup_one").to_string()
        } else {
            words.fill("cleanup_count", &[("count", &n.to_string())])
        };
        out.push(Setting {
            sense: cleanup_sense(mow),
            ..plain("cleanup_sense", value)
        });
    }
    let speed = if mow.pattern() == PatternKind::Loops {
        mower.speeds.loops_m_s
    } else {
        mower.speeds.mowing_m_s
    };
    out.push(plain("speed", words.speed(speed)));
    out
}

/// How many clean-up passes go round an edge at most: loops may need more than was asked for.
pub fn clean_up_rings(mow: &Mow) -> u32 {
    (mow.legs().iter())
        .filter_map(|l| match l.role {
            Role::CleanUp { ring } => Some(ring + 1),
            _ => None,
        })
        .max()
        .unwrap_or(0)
}

fn sense_turn_key(sense: Sense) -> &'static str {
    match sense {
        Sense::Clockwise => "sense.cw.turn",
        Sense::CounterClockwise => "sense.ccw.turn",
    }
}

/// Which way the clean-up passes go round, where there are any.
pub(super) fn cleanup_sense(mow: &Mow) -> Option<Sense> {
    mow.settings().clean_up_sense
}

/// The row of settings, `width` mm wide; more rows where they do not fit.
pub(super) fn settings_row(settings: &[Setting], width: f64) -> SheetBlock {
    const PAD: f64 = 2.0;
    const ROW_H: f64 = 14.2;
    let need = |s: &Setting| {
        let value = width_mm(&s.value, VALUE_MM, Weight::Bold)
            + if s.sense.is_some() {
                VALUE_MM + 2.0
            } else {
                0.0
            };
        let label = width_mm(&s.label, SMALL_MM, Weight::Regular);
        // Room to write a height by hand.
        f64::max(label, value).max(22.0) + 2.0 * PAD
    };
    let mut rows: Vec<Vec<&Setting>> = vec![Vec::new()];
    let mut used = 0.0;
    for s in settings {
        let w = need(s);
        if used + w > width && used > 0.0 {
            rows.push(Vec::new());
            used = 0.0;
        }
        used += w;
        if let Some(r) = rows.last_mut() {
            r.push(s);
        }
    }
    let mut pen = Pen::new();
    let mut y = 0.0;
    for row in &rows {
        let total: f64 = row.iter().map(|s| need(s)).sum();
        let spare = (width - total).max(0.0) / row.len() as f64;
        let mut x = 0.0;
        for s in row {
            let w = (need(s) + spare).min(width);
            pen.fill_stroke(
                Shape::rect(Rect::new(x, y, w, ROW_H)),
                WHITE,
                Stroke::solid(BLACK, THIN_MM),
            );
            pen.text(
                shorten(&s.label, SMALL_MM, Weight::Regular, w - 2.0 * PAD),
                (x + PAD, y + 0.4 + baseline_mm(SMALL_MM)),
                SMALL_MM,
                Weight::Regular,
                Anchor::Start,
            );
            let base = y + ROW_H - 2.4;
            let mut vx = x + PAD;
            if let Some(sense) = s.sense {
                sense_sign(&mut pen, (vx + 2.6, base - 2.2), 2.3, sense);
                vx += VALUE_MM + 1.0;
            }
            let room = x + w - PAD - vx;
            if s.value.is_empty() {
                pen.stroke(
                    Shape::line((vx, base), (x + w - PAD, base)),
                    Stroke::dashed(BLACK, THIN_MM, 0.6, 0.9),
                );
            } else {
                let size = fit_mm(&s.value, Weight::Bold, room, VALUE_MM, SMALL_MM);
                pen.text(
                    shorten(&s.value, size, Weight::Bold, room),
                    (vx, base),
                    size,
                    Weight::Bold,
                    Anchor::Start,
                );
            }
            x += w;
        }
        y += ROW_H;
    }
    SheetBlock::new(pen.marks, y)
}
