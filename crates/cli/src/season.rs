//! `crossgrain season`: the rotation for a growing season.

mod listing;

use crate::Verdict;
use crate::failure::Failure;
use crate::hand_out::hand_out;
use crate::odd;
use crate::options::{self, flag, text, value};
use crate::progress::with_progress;
use crate::reading;
use crate::report;
use crate::terminal::{complain, say};
use crate::today::today;
use clap::{ArgMatches, Command};
use crossgrain_core::{Course, Mower};
use crossgrain_formats::input::{read_text, shown};
use crossgrain_formats::whole::OutFolder;
use crossgrain_formats::{
    calendar, continued, done_log, fingerprint, observations, programme as file,
    rules as rules_file, starters, usual,
};
use crossgrain_render::drawing::Drawing;
use crossgrain_render::page::Paper;
use crossgrain_render::season_pages::season_pages;
use crossgrain_render::words::Words;
use crossgrain_render::{press, svg_page};
use crossgrain_season::past::Done;
use crossgrain_season::programme::{Ask, Programme, Stage, Warning, Workers, programme};
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
        .arg(value(
            "continue",
            "FILE",
            "The programme.json so far: what changes is told, calendars are updated",
        ))
        .arg(value(
            "done",
            "FILE",
            "Log of what was mown (CSV, columns as in programme.csv): the past; the rest is chosen anew",
        ))
        .arg(value(
            "calendar",
            "days|visits",
            "An event for each machine's day, or for each visit [default: days]",
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
    let log = log(m)?;
    let odd = unusual(m, &mower, &rules, &log)?;
    let done = done(m)?;
    let before = before(m)?;
    if let Some(b) = &before {
        rules.issue = rules.issue.max(b.issue);
    }
    let events = events(m)?;
    let mowers = mowers(m, &mower, &rules)?;
    let day = day(m, &rules)?;
    let out = options::out_folder(m)?;
    let as_json = options::is_set(m, "json");
    let look_at_file = reading::tell(&course_file);

    let ask = Ask {
        course,
        mowers: &mowers,
        rules: &rules,
        observations: &log,
        done: &done,
    };
    let mut p = options::on_threads(m, || programme(&ask, &Team))?
        .map_err(|e| Failure::Other(Box::new(e)))?;
    p.ground = fingerprint::ground(course);
    p.mower_files = mower_files(m, &rules);
    if let Some(b) = &before {
        p.changes = continued::changes(b, &p);
        p.withdrawn = continued::withdrawn(b, &p);
        if !p.changes.is_empty() && p.rules.issue <= b.issue {
            p.rules.issue = b.issue + 1;
        }
    }

    let written = write_all(m, &out, &p, course, &Pages { day, paper, events }, &words)?;
    options::finish(m, &out, "season")?;

    if as_json {
        say(&file::value(&p).to_string());
    } else {
        say(&listing::listing(&p));
        say(&format!("\n{written} file(s) in {}", out.path().display()));
    }
    for w in &p.warnings {
        complain(&format!("warning: {w}"));
    }
    let unfit = unfit(&p);
    for line in &unfit {
        complain(&format!("warning: {line}"));
    }
    let look = look_at_file || !odd.is_empty() || !unfit.is_empty();
    Ok(if look { Verdict::Look } else { verdict(&p) })
}

/// Tells what is unusual about the mower, the rules and the log; the lines told.
fn unusual(
    m: &ArgMatches,
    mower: &Mower,
    rules: &Rules,
    log: &[Observation],
) -> Result<Vec<String>, Failure> {
    let mut odd = usual::mower(mower);
    odd.extend(usual::rules(rules));
    let mut lines = odd::lines(&odd, options::units(m)?);
    for day in usual::days_outside(log, rules.from, rules.to) {
        lines.push(format!(
            "warning: the scalping log has {day}, outside the season from {} to {}; is it another year?",
            rules.from, rules.to
        ));
    }
    for line in &lines {
        complain(line);
    }
    Ok(lines)
}

/// What of the files can be chosen.
struct Pages {
    /// Day of the grain maps.
    day: Date,
    paper: Paper,
    events: calendar::Events,
}

/// Writes the programme, the calendar, the table, the grain, and the pages if they are wanted; how
/// many files.
fn write_all(
    m: &ArgMatches,
    out: &OutFolder,
    p: &Programme,
    course: &Course,
    pages_of: &Pages,
    words: &Words,
) -> Result<usize, Failure> {
    out.write("programme.json", file::text(p).as_bytes())?;
    out.write(
        "calendar.ics",
        calendar::text(p, pages_of.events, &|key, places| words.fill(key, places)).as_bytes(),
    )?;
    let csv = file::csv(p).map_err(|e| Failure::Other(Box::new(e)))?;
    out.write("programme.csv", csv.as_bytes())?;
    out.write("grain.json", file::grain(p, pages_of.day).as_bytes())?;
    let mut written = 4;
    if !options::is_set(m, "no-pages") {
        let (pages, svgs, pdf) = options::on_threads(m, || {
            let pages = season_pages(p, course, pages_of.day, pages_of.paper, words);
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
    Ok(written)
}

fn verdict(p: &Programme) -> Verdict {
    // A doubtful rule is still a rule the user set; what the plan cannot keep needs their eyes.
    let look = p
        .warnings
        .iter()
        .any(|w| !matches!(w, Warning::NoCrossing { .. }));
    if look { Verdict::Look } else { Verdict::Done }
}

/// Visits that `plan` would ask to look at, a line for each kind of mow: missed ground, rough or
/// keep-outs under lowered reels, passes left out.
fn unfit(p: &Programme) -> Vec<String> {
    let mut kinds: Vec<(String, usize)> = Vec::new();
    for v in p.visits.iter().filter(|v| !v.done) {
        let Some(why) = report::unfit(&v.ground) else {
            continue;
        };
        let text = format!(
            "fairway {}: {} at {:.0} degrees with {} clean-up pass(es): {why}",
            v.fairway,
            v.pattern.word(),
            v.heading_deg.rem_euclid(180.0),
            v.rings
        );
        match kinds.iter_mut().find(|k| k.0 == text) {
            Some(k) => k.1 += 1,
            None => kinds.push((text, 1)),
        }
    }
    kinds
        .into_iter()
        .map(|(text, n)| format!("{text}; {n} visit(s)"))
        .collect()
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
            Stage::Headings => "fairways weighed, hours against grain:",
            Stage::Price => "fairways at the course's price:",
            Stage::Days => "fairways dealt to the days:",
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

/// The rules; fairways that are not asked for are left out.
fn rules(m: &ArgMatches, course: &Course) -> Result<Rules, Failure> {
    let mut rules = rules_read(m, course)?;
    let chosen = options::chosen(m, &course.fairways)?;
    for f in &course.fairways {
        if !chosen.iter().any(|c| c.name() == f.name()) {
            let own = rules.fairways.entry(f.name().to_string()).or_default();
            own.left_out = true;
        }
    }
    Ok(rules)
}

fn rules_read(m: &ArgMatches, course: &Course) -> Result<Rules, Failure> {
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

/// Where mower files named in the rules stand: beside the rules.
fn beside(m: &ArgMatches) -> &Path {
    text(m, "rules")
        .and_then(|f| Path::new(f).parent())
        .unwrap_or(Path::new(""))
}

/// The file that each mower comes from.
fn mower_files(m: &ArgMatches, rules: &Rules) -> Vec<Option<String>> {
    let named = || text(m, "mower").map(str::to_string);
    if rules.crew.machines.is_empty() {
        return vec![named()];
    }
    (rules.crew.machines.iter())
        .map(|machine| match (&machine.file, machine.deck_m) {
            (Some(file), _) => Some(beside(m).join(file).to_string_lossy().into_owned()),
            (None, Some(_)) => None,
            (None, None) => named(),
        })
        .collect()
}

/// The mower of each machine: a plain deck, or a mower file beside the rules.
fn mowers(m: &ArgMatches, mower: &Mower, rules: &Rules) -> Result<Vec<Mower>, Failure> {
    if rules.crew.machines.is_empty() {
        return Ok(vec![mower.clone()]);
    }
    let beside = beside(m);
    rules
        .crew
        .machines
        .iter()
        .map(|machine| match (&machine.file, machine.deck_m) {
            (Some(file), _) => Ok(crossgrain_formats::mower::open(&beside.join(file))?),
            (None, Some(width_m)) => {
                let mut deck = Mower::bar(width_m);
                deck.name.clone_from(&machine.name);
                Ok(deck)
            }
            (None, None) => Ok(mower.clone()),
        })
        .collect()
}

fn done(m: &ArgMatches) -> Result<Vec<Done>, Failure> {
    let Some(path) = text(m, "done") else {
        return Ok(Vec::new());
    };
    let path = Path::new(path);
    let content = read_text(path).map_err(|e| Failure::Other(Box::new(e)))?;
    done_log::read(&content, &shown(path)).map_err(|e| Failure::Other(Box::new(e)))
}

fn before(m: &ArgMatches) -> Result<Option<continued::Before>, Failure> {
    let Some(path) = text(m, "continue") else {
        return Ok(None);
    };
    let path = Path::new(path);
    let content = read_text(path).map_err(|e| Failure::Other(Box::new(e)))?;
    continued::read(&content, &shown(path))
        .map(Some)
        .map_err(|e| Failure::Other(Box::new(e)))
}

fn events(m: &ArgMatches) -> Result<calendar::Events, Failure> {
    match text(m, "calendar") {
        None | Some("days") => Ok(calendar::Events::Days),
        Some("visits") => Ok(calendar::Events::Visits),
        Some(other) => Err(Failure::Argument {
            option: "--calendar",
            reason: format!("'{other}' is not known; write days or visits"),
        }),
    }
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
