//! What the user should know of how a course file was read.
//!
//! A file of a mapped course has hundreds of features: what is told one by one in `check` is one
//! line for the other commands. What may hurt someone is told one by one everywhere.

use crate::terminal::complain;
use crossgrain_formats::course::{Account, CourseFile, Fate, Notice, Weight, shown_place};
use crossgrain_formats::plan::Refused;

/// Kinds of features named before the rest are only counted.
const KINDS: usize = 12;

/// Notices of one family are told one by one up to this many.
const ONE_BY_ONE: usize = 2;

/// Tells what the user should know of a course file and which fairways are left out; returns
/// whether any of it asks for a look.
pub(crate) fn tell(file: &CourseFile) -> bool {
    let (look, told) = lines(file);
    let refused = refused(file);
    for r in &refused {
        complain(&format!(
            "warning: fairway '{}' is left out: {}",
            r.fairway, r.reason
        ));
    }
    for line in told {
        complain(&line);
    }
    look || !refused.is_empty()
}

/// The lines to print, and whether any asks for a look.
pub(crate) fn lines(file: &CourseFile) -> (bool, Vec<String>) {
    let mut out: Vec<String> = warnings(file);
    let look = !out.is_empty();
    out.push(format!("note: the course lies at {}", place(file)));
    let rest: Vec<&Notice> = file
        .notices
        .iter()
        .filter(|n| n.weight() != Weight::Warning)
        .collect();
    let mut families: Vec<&str> = Vec::new();
    for n in &rest {
        if !families.contains(&n.family()) {
            families.push(n.family());
        }
    }
    for family in families {
        let members: Vec<&&Notice> = rest.iter().filter(|n| n.family() == family).collect();
        if members.len() <= ONE_BY_ONE {
            out.extend(members.iter().map(|n| format!("note: {n}")));
        } else {
            out.push(format!(
                "note: {} {family}; `crossgrain check` lists them one by one",
                members.len()
            ));
        }
    }
    out.extend(
        left_aside(&file.accounts).map(|text| {
            format!("note: left aside: {text}; `crossgrain check` lists them one by one")
        }),
    );
    (look, out)
}

/// Where the course lies, with its hemispheres.
pub(crate) fn place(file: &CourseFile) -> String {
    shown_place([file.plane.origin().lon_deg, file.plane.origin().lat_deg])
}

/// What may be a hazard, or is not believable, one by one.
pub(crate) fn warnings(file: &CourseFile) -> Vec<String> {
    let told = file
        .notices
        .iter()
        .filter(|n| n.weight() == Weight::Warning)
        .map(|n| format!("warning: {n}"));
    let hazards = file
        .accounts
        .iter()
        .filter(|a| {
            matches!(
                a.fate,
                Fate::LeftAside {
                    touches: Some(_),
                    ..
                }
            )
        })
        .map(|a| format!("warning: {a}"));
    told.chain(hazards).collect()
}

/// Fairways left out because their ground is at fault.
pub(crate) fn refused(file: &CourseFile) -> Vec<Refused> {
    file.refused
        .iter()
        .map(|r| {
            let list: Vec<String> = r.problems.iter().map(ToString::to_string).collect();
            Refused {
                fairway: r.name.clone(),
                reason: list.join("; "),
            }
        })
        .collect()
}

/// The features left aside, by kind and count; none if there are none.
pub(crate) fn left_aside(accounts: &[Account]) -> Option<String> {
    let mut kinds: Vec<(&str, usize)> = Vec::new();
    for a in accounts {
        if matches!(a.fate, Fate::LeftAside { .. }) {
            match kinds.iter_mut().find(|k| k.0 == a.says) {
                Some(k) => k.1 += 1,
                None => kinds.push((&a.says, 1)),
            }
        }
    }
    // The most first; of as many, the first in the file.
    kinds.sort_by_key(|k| std::cmp::Reverse(k.1));
    let mut list: Vec<String> = kinds
        .iter()
        .take(KINDS)
        .map(|(says, n)| format!("{n} {says}"))
        .collect();
    let more: usize = kinds.iter().skip(KINDS).map(|k| k.1).sum();
    if more > 0 {
        list.push(format!("{more} others"));
    }
    (!list.is_empty()).then(|| list.join(", "))
}
