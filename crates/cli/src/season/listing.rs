//! What `crossgrain season` tells on the terminal.

use crate::terminal::table;
use crossgrain_season::Programme;
use crossgrain_season::cost::vertical;
use crossgrain_season::programme::Row;

/// Changes told on the terminal; the programme file has them all.
const MAX_CHANGES: usize = 20;

/// The programme and the plain habits beside it, the fairways, the machines, what changed.
pub(super) fn listing(p: &Programme) -> String {
    let worst = p.days.iter().map(|d| d.minutes).fold(0.0_f64, f64::max);
    let mut parts = vec![
        format!(
            "{} to {}: {} visits on {} days, the longest {:.1} h",
            p.rules.from,
            p.rules.to,
            p.visits.len(),
            p.days.len(),
            worst / 60.0
        ),
        schedules(p),
        fairways(p),
        curve(p),
        machines(p),
    ];
    if let Some(v) = &p.rules.vertical_mowing {
        let area: f64 = p.lay.iter().map(|l| l.area_m2).sum();
        let c = vertical(v, area, p.lay.len());
        parts.push(format!(
            "vertical mowing at your rates: {:.1} h and {:.1} h of clearing, {:.0} {}, {:.0} days on \
             which a fairway is closed",
            c.hours, c.clearing_hours, c.money, p.rules.rates.currency, c.fairway_days_closed
        ));
    }
    for l in p.lay.iter().filter(|l| l.reason.is_some()) {
        if let Some(r) = l.reason {
            parts.push(format!(
                "fairway {} stays at R2 {:.2}: {}",
                l.fairway,
                l.lay.r2_mean,
                r.word()
            ));
        }
    }
    if !p.changes.is_empty() {
        let mut lines = vec![format!(
            "{} changes to the programme before:",
            p.changes.len()
        )];
        lines.extend(p.changes.iter().take(MAX_CHANGES).cloned());
        if p.changes.len() > MAX_CHANGES {
            lines.push("... (all of them in programme.json)".to_string());
        }
        parts.push(lines.join("\n"));
    }
    parts.retain(|p| !p.is_empty());
    parts.join("\n\n")
}

fn r(x: f64) -> String {
    format!("{x:.3}")
}

fn schedules(p: &Programme) -> String {
    let rows: Vec<Vec<String>> = std::iter::once(&p.total)
        .chain(&p.habits)
        .map(|row: &Row| {
            let mut cells = vec![
                row.habit
                    .map_or_else(|| "this programme".to_string(), |h| h.to_string()),
                if row.grooming { "yes" } else { "no" }.to_string(),
                r(row.lay.r2_mean),
                r(row.r2_28_days),
                r(row.lay.r2_p95),
                r(row.lay.r1_mean),
                format!("{:.1}", row.cost.hours),
                format!("{:.1}", row.cost.shift_hours),
                format!("{:.0}", row.cost.distance_m / 1000.0),
            ];
            if let Some(money) = row.cost.money() {
                cells.push(format!("{money:.0} {}", p.rules.rates.currency));
            }
            cells
        })
        .collect();
    let mut head = vec![
        "schedule",
        "grooming",
        "R2 mean",
        "28 days",
        "R2 95%",
        "R1 mean",
        "hours",
        "in shifts",
        "km",
    ];
    if p.total.cost.money().is_some() {
        head.push("cost");
    }
    let right = [false, false, true, true, true, true, true, true, true, true];
    table(&head, &rows, &right)
}

fn fairways(p: &Programme) -> String {
    let maybe = |x: Option<f64>| x.map_or_else(|| "-".to_string(), r);
    let rows: Vec<Vec<String>> = p
        .lay
        .iter()
        .map(|l| {
            vec![
                l.fairway.clone(),
                l.cost.visits.to_string(),
                r(l.lay.r2_mean),
                maybe(l.r2_mean_bound),
                r(l.objective),
                maybe(l.objective_bound),
                r(l.r2_28_days),
                r(l.lay.r2_p95),
                r(l.lay.r1_mean),
                format!("{:.1}", l.cost.hours),
            ]
        })
        .collect();
    table(
        &[
            "fairway",
            "visits",
            "R2 mean",
            "at least",
            "objective",
            "at least",
            "28 days",
            "R2 95%",
            "R1 mean",
            "hours",
        ],
        &rows,
        &[false, true, true, true, true, true, true, true, true, true],
    )
}

fn curve(p: &Programme) -> String {
    let rows: Vec<Vec<String>> = p
        .curve
        .iter()
        .map(|c| vec![format!("{:.1}", c.hours), r(c.r2_mean), r(c.r2_mean_bound)])
        .collect();
    table(
        &["hours", "R2 mean", "at least"],
        &rows,
        &[true, true, true],
    )
}

fn machines(p: &Programme) -> String {
    if p.machines.len() < 2 {
        return String::new();
    }
    let rows: Vec<Vec<String>> = p
        .machines
        .iter()
        .map(|m| {
            vec![
                m.name.clone(),
                m.visits.to_string(),
                format!("{:.1}", m.hours),
            ]
        })
        .collect();
    table(&["mower", "visits", "hours"], &rows, &[false, true, true])
}
