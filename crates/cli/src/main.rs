//! The `crossgrain` command: arguments in, files and figures out. No geometry here.
//!
//! Exit codes: 0 done; 1 done, but the user must look at something; 2 unusable input or
//! arguments.

mod check;
mod completions;
mod day;
mod export;
mod failure;
mod hand_out;
mod mower;
mod notices;
mod odd;
mod options;
mod outline;
mod plan;
mod progress;
mod reading;
mod report;
mod season;
mod size;
mod steps;
mod terminal;
mod today;
mod whereabouts;

use clap::{ArgMatches, Command};
use failure::Failure;
use std::process::ExitCode;

/// How a command ended when it did its work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Verdict {
    /// Nothing to add.
    Done,
    /// The work is done, but something needs the user's eyes.
    Look,
}

fn command() -> Command {
    Command::new("crossgrain")
        .about("Plan, measure and print mowing patterns for golf fairways")
        .version(env!("CARGO_PKG_VERSION"))
        .subcommand_required(true)
        .arg_required_else_help(true)
        .after_help(
            "Exit codes: 0 done; 1 done, but something needs your eyes; 2 unusable input or arguments.",
        )
        .subcommand(plan::command())
        .subcommand(season::command())
        .subcommand(day::command())
        .subcommand(check::command())
        .subcommand(mower::command())
        .subcommand(size::command())
        .subcommand(completions::command())
        .subcommand(outline::command())
        .subcommand(export::command())
}

fn run(matches: &ArgMatches) -> Result<Verdict, Failure> {
    match matches.subcommand() {
        Some(("plan", m)) => plan::run(m),
        Some(("season", m)) => season::run(m),
        Some(("day", m)) => day::run(m),
        Some(("check", m)) => check::run(m),
        Some(("mower", m)) => mower::run(m),
        Some(("size", m)) => size::run(m),
        Some(("completions", m)) => completions::run(m, command()),
        Some(("outline", m)) => outline::run(m),
        Some(("export", m)) => export::run(m),
        _ => Ok(Verdict::Done),
    }
}

fn main() -> ExitCode {
    let matches = match command().try_get_matches() {
        Ok(m) => m,
        Err(e) => {
            // Help and version are answers, not errors; a closed pipe is nobody's fault.
            let _ = e.print();
            return ExitCode::from(if e.use_stderr() { 2 } else { 0 });
        }
    };
    let outcome = run(&matches);
    if outcome.is_ok()
        && let Some(e) = terminal::lost()
    {
        terminal::complain(&format!(
            "error: standard output cannot be written ({e}); what was to stand there is lost, the files are written"
        ));
        return ExitCode::from(2);
    }
    match outcome {
        Ok(Verdict::Done) => ExitCode::SUCCESS,
        Ok(Verdict::Look) => ExitCode::from(1),
        Err(e) => {
            terminal::complain(&format!("error: {e}"));
            ExitCode::from(2)
        }
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_arguments_are_consistent() {
        super::command().debug_assert();
    }
}
