//! `crossgrain season`: the rotation for a growing season.

use crate::Verdict;
use crate::failure::Failure;
use crate::hand_out::hand_out;
use crate::odd;
use crate::options::{self, flag, text, value};
use crate::progress::with_progress;
use crate::reading;
use crate::terminal::{complain, say, table};
use crate::today::today;
use clap::{ArgMatches, Command};
use crossgrain_core::Course;
use crossgrain_formats::input::{read_text, shown};
use crossgrain_formats::{
    calendar, observations, programme as file, rules as rules_file, starters, usual,
};
use crossgrain_render::drawing::Drawing;
use crossgrain_render::season_pages::season_pages;
use crossgrain_render::{press, svg_page};
use crossgrain_season::programme::{Programme, Row, Stage, Warning, Workers, programme};
use crossgrain_season::rules::Rules;
use crossgrain_season::scalping::Observation;
use jiff::civil::{Date, date};
use rayon::prelude::*;
use std::path::Path;

/// The command's arguments.
pub(crate) fn command() -> Command {
    Command::new("season")
        .about("Plan a growing season: programme.json, calendar.ics, pages to print")
        .args(options::course_args())
        .arg(value(
            "rules",
            "FILE",
            "Rules of the season (JSON); without it, sensible defaults",
        ))
        .arg(value(
            "observations",
            "FILE",
            "Scalping log (JSON or CSV): date, fairway, none|slight|moderate|severe",
        ))
        .arg(value(
            "day",
            "DATE",
            "Day of the grain maps, such as 2027-07-01 [default: the last day]",
        ))
        .arg(flag("no-pages", "Write the data files only"))
        .arg(options::starter_arg(
            "write-rules",
            "Write a starter rules file with notes, and nothing else",
        ))
        .mut_arg("course", |a| {
            a.required(false).required_unless_present("write-rules")
        })
        .args(options::mower_args())
        .args(options::only_args())
        .args(options::page_args())
        .args(options::out_args())
        .arg(options::threads_arg())
}

/// Plans, writes, tells.
pub(crate) fn run(m: &ArgMatches) -> Result<Verdict, Failure> {
    if options::write_starter(m, "write-rules", "--write-rules", starters::RULES)? {
        return Ok(Verdict::Done);
    }
    let mower = options::mower(m)?;
    let paper = options::paper(m)?;
    let words = options::words(m)?;
    let course_file = options::read_course(m)?;
    let course: &Course = &course_file.course;
    let mut rules = rules(m, course)?;
    let chosen = options::chosen(m, &course.fairways)?;
    for f in &course.fairways {
        if !chosen.iter().any(|c| c.name == f.name) {
            rules.fairways.entry(f.name.clone()).or_default().left_out = true;
        }
    }
    let log = log(m)?;
    let units = options::units(m)?;
    let mut odd = usual::mower(&mower);
    odd.extend(usual::rules(&rules));
    let mut odd = odd::lines(&odd, units);
    for day in usual::days_outside(&log, rules.from, rules.to) {
        odd.push(format!(
            "warning: the scalping log has {day}, outside the season from {} to {}; is it another year?",
            rules.from, rules.to
        ));
    }
    for line in &odd {
        complain(line);
    }
    let day = day(m, &rules)?;
    let out = options::out_folder(m)?;
    let as_json = options::is_set(m, "json");
    let look_at_file = reading::tell(&course_file);

    let p = options::on_threads(m, || programme(course, &mower, &rules, &log, &Team))?
        .map_err(|e| Failure::Other(Box::new(e)))?;

    out.write("programme.json", file::text(&p).as_bytes())?;
    out.write("calendar.ics", calendar::text(&p).as_bytes())?;
    let csv = file::csv(&p).map_err(|e| Failure::Other(Box::new(e)))?;
    out.write("programme.csv", csv.as_bytes())?;
    out.write("grain.json", file::grain(&p, day).as_bytes())?;
    let mut written = 4;
    if !options::is_set(m, "no-pages") {
        let (pages, svgs, pdf) = options::on_threads(m, || {
            let pages = season_pages(&p, course, day, paper, &words);
            let drawings: Vec<Drawing> = pages.iter().map(|p| p.drawing.clone()).collect();
            let (svgs, pdf) = rayon::join(
                || drawings.par_iter().map(svg_page::text).collect::<Vec<_>>(),
                || press::pdf(&drawings, &p.course),
            );
            (pages, svgs, pdf)
        })?;
        for (page, svg) in pages.iter().zip(&svgs) {
            out.write(&format!("{}.svg", page.name), svg.as_bytes())?;
        }
        out.write("season.pdf", &pdf)?;
        written += pages.len() + 1;
    }
    options::finish(m, &out, "season")?;

    if as_json {
        say(&file::value(&p).to_string());
    } else {
        say(&listing(&p));
        if mower.units.len() > 1 {
            say(&format!(
                "\nminutes are those of a plain deck as wide as the {} units, loops counted as \
                 longer by as much as the units need; `crossgrain plan` gives those of the units",
                mower.units.len()
            ));
        }
        say(&format!("\n{written} file(s) in {}", out.path().display()));
    }
    for w in &p.warnings {
        complain(&format!("warning: {w}"));
    }
    Ok(if look_at_file || !odd.is_empty() {
        Verdict::Look
    } else {
        verdict(&p)
    })
}

fn verdict(p: &Programme) -> Verdict {
    // A doubtful rule is still a rule the user set; what the plan cannot keep needs their eyes.
    let look = p
        .warnings
        .iter()
        .any(|w| !matches!(w, Warning::NoCrossing { .. }));
    if look { Verdict::Look } else { Verdict::Done }
}

/// As many threads as the pool has, and progress.
struct Team;

impl Workers for Team {
    fn each<T: Sync, R: Send>(
        &self,
        stage: Stage,
        items: &[T],
        work: impl Fn(&T) -> R + Sync,
    ) -> Vec<R> {
        let what = match stage {
            Stage::Mows => "fairways planned:",
            Stage::Headings => "fairways with headings chosen:",
        };
        with_progress(what, items.len(), |tick| {
            hand_out(items, |item| {
                let r = work(item);
                tick();
                r
            })
        })
    }
}

fn rules(m: &ArgMatches, course: &Course) -> Result<Rules, Failure> {
    let defaults = growing_season(course.origin_lat_deg < 0.0, today());
    let Some(path) = text(m, "rules") else {
        complain(&format!(
            "note: no rules; {} to {} with the defaults (--rules FILE changes them)",
            defaults.from, defaults.to
        ));
        return Ok(defaults);
    };
    let path = Path::new(path);
    let content = read_text(path).map_err(|e| Failure::Other(Box::new(e)))?;
    let rules = rules_file::read(&content, &shown(path), defaults.clone())
        .map_err(|e| Failure::Other(Box::new(e)))?;
    if (rules.from, rules.to) == (defaults.from, defaults.to) {
        complain(&format!(
            "note: the season is {} to {}; season.from and season.to change it",
            rules.from, rules.to
        ));
    }
    Ok(rules)
}

fn log(m: &ArgMatches) -> Result<Vec<Observation>, Failure> {
    let Some(path) = text(m, "observations") else {
        return Ok(Vec::new());
    };
    let path = Path::new(path);
    let content = read_text(path).map_err(|e| Failure::Other(Box::new(e)))?;
    observations::read(&content, &shown(path)).map_err(|e| Failure::Other(Box::new(e)))
}

fn day(m: &ArgMatches, rules: &Rules) -> Result<Date, Failure> {
    let Some(t) = text(m, "day") else {
        return Ok(rules.to);
    };
    t.parse().map_err(|_| Failure::Argument {
        option: "--day",
        reason: format!("'{t}' is no day; write it as 2027-07-01"),
    })
}

/// The growing season that is on or comes next: April to October in the north, October to April
/// in the south (temperate climates; the rules file has the last word).
fn growing_season(south: bool, today: Date) -> Rules {
    let ends = |year: i16| {
        if south {
            date(year, 4, 30)
        } else {
            date(year, 10, 31)
        }
    };
    // Far-off clocks are taken to the nearest year that dates can hold.
    let year = today.year().clamp(1, 9990);
    let year = if today > ends(year) { year + 1 } else { year };
    let from = if south {
        date(year - 1, 10, 1)
    } else {
        date(year, 4, 1)
    };
    Rules::between(from, ends(year))
}

/// The table on the terminal: the programme and the plain habits beside it, then the fairways.
fn listing(p: &Programme) -> String {
    let r = |x: f64| format!("{x:.3}");
    let rows: Vec<Vec<String>> = std::iter::once(&p.total)
        .chain(&p.habits)
        .map(|row: &Row| {
            let mut cells = vec![
                row.habit
                    .map_or_else(|| "this programme".to_string(), |h| h.to_string()),
                r(row.lay.r2_mean),
                r(row.lay.r2_p95),
                r(row.lay.r1_mean),
                r(row.lay.r1_p95),
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
        "R2 mean",
        "R2 95%",
        "R1 mean",
        "R1 95%",
        "hours",
        "in shifts",
        "km",
    ];
    if p.total.cost.money().is_some() {
        head.push("cost");
    }
    let right = [false, true, true, true, true, true, true, true, true];
    let fairways: Vec<Vec<String>> = p
        .lay
        .iter()
        .map(|l| {
            vec![
                l.fairway.clone(),
                l.cost.visits.to_string(),
                r(l.lay.r2_mean),
                r(l.lay.r2_p95),
                r(l.lay.r1_mean),
                r(l.lay.r1_p95),
                format!("{:.1}", l.cost.hours),
                format!("{:.0}", l.cost.distance_m / 1000.0),
            ]
        })
        .collect();
    let worst = p.days.iter().map(|d| d.minutes).fold(0.0_f64, f64::max);
    format!(
        "{} to {}: {} visits on {} days, the longest {:.1} h\n\n{}\n\n{}",
        p.rules.from,
        p.rules.to,
        p.visits.len(),
        p.days.len(),
        worst / 60.0,
        table(&head, &rows, &right),
        table(
            &[
                "fairway", "visits", "R2 mean", "R2 95%", "R1 mean", "R1 95%", "hours", "km",
            ],
            &fairways,
            &[false, true, true, true, true, true, true, true],
        )
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_season_that_is_on_or_comes_next() {
        let span = |south, today| {
            let r = growing_season(south, today);
            (r.from, r.to)
        };
        assert_eq!(
            span(false, date(2027, 6, 1)),
            (date(2027, 4, 1), date(2027, 10, 31))
        );
        assert_eq!(
            span(false, date(2027, 11, 1)),
            (date(2028, 4, 1), date(2028, 10, 31))
        );
        assert_eq!(
            span(true, date(2027, 11, 1)),
            (date(2027, 10, 1), date(2028, 4, 30))
        );
    }
}
