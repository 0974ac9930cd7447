//! `crossgrain completions`: what a shell needs to complete the command line.

use crate::Verdict;
use crate::failure::Failure;
use crate::terminal::say;
use clap::{Arg, ArgMatches, Command};
use clap_complete::Shell;

/// The command's arguments.
pub(crate) fn command() -> Command {
    Command::new("completions")
        .about("Print completions for a shell, to be put where it looks for them")
        .arg(
            Arg::new("shell")
                .value_name("SHELL")
                .required(true)
                .value_parser(clap::value_parser!(Shell))
                .help("bash, elvish, fish, powershell or zsh"),
        )
}

/// Prints them.
pub(crate) fn run(m: &ArgMatches, mut whole: Command) -> Result<Verdict, Failure> {
    if let Some(&shell) = m.get_one::<Shell>("shell") {
        let mut text = Vec::new();
        clap_complete::generate(shell, &mut whole, "crossgrain", &mut text);
        say(String::from_utf8_lossy(&text).trim_end());
    }
    Ok(Verdict::Done)
}
