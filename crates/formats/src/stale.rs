//! Whether a programme still fits the course and the mowers it is used with.

use crate::fingerprint;
use crate::standing::StandingFile;
use crossgrain_core::{Course, Mower};
use std::fmt;

/// Why a programme does not fit any more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stale {
    /// It was made for another course.
    OtherCourse {
        /// The programme's course.
        programme: String,
        /// The fairways that it mows.
        fairways: Vec<String>,
        /// The course given.
        course: String,
    },
    /// Fairways of the programme are not in the course.
    Gone {
        /// Their names.
        fairways: Vec<String>,
    },
    /// The ground of fairways is not what it was.
    Ground {
        /// Their names.
        fairways: Vec<String>,
    },
    /// A mower is not what it was.
    Mower {
        /// The mower as given.
        mower: String,
        /// Where it comes from, such as a file.
        from: String,
    },
}

impl fmt::Display for Stale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Stale::OtherCourse {
                programme,
                fairways,
                course,
            } => write!(
                f,
                "the programme is for another course: it is for '{programme}', the course given \
                 is '{course}', and none of its fairways ({}) is there as it was; give the course \
                 file that the season was planned with",
                fairways.join(", ")
            ),
            Stale::Gone { fairways } => write!(
                f,
                "the programme mows fairway {}, which the course does not have any more; run \
                 `crossgrain season` again",
                fairways.join(", ")
            ),
            Stale::Ground { fairways } => write!(
                f,
                "the ground of fairway {} has changed since the programme was made (outline, \
                 keep-outs, hole line or way in); run `crossgrain season` again with --continue, \
                 which tells what becomes another. If the season was planned with --reverse or \
                 --role, give them here too",
                fairways.join(", ")
            ),
            Stale::Mower { mower, from } => write!(
                f,
                "the mower '{mower}' ({from}) is not the one that the programme was made for: its \
                 units, radius or speeds differ; run `crossgrain season` again with it"
            ),
        }
    }
}

impl std::error::Error for Stale {}

/// Whether every fairway that the programme mows is in the course as it was.
///
/// # Errors
/// [`Stale`] with all fairways that are not.
pub fn ground(file: &StandingFile, course: &Course) -> Result<(), Stale> {
    let now = fingerprint::ground(course);
    let mown: Vec<&(String, String)> = (file.ground.iter())
        .filter(|(name, _)| file.standing.visits.iter().any(|v| v.fairway == *name))
        .collect();
    let of = |name: &str| now.iter().find(|n| n.0 == name);
    if mown.iter().all(|m| of(&m.0) != Some(*m)) && !mown.is_empty() {
        let fairways: Vec<String> = mown.iter().map(|m| m.0.clone()).collect();
        // One fairway is a course of its own: there a name and nothing else says what it is.
        if fairways.len() > 1 || fairways.iter().all(|f| of(f).is_none()) {
            return Err(Stale::OtherCourse {
                programme: file.standing.course.clone(),
                fairways,
                course: course.name.clone(),
            });
        }
    }
    let pick = |gone: bool| -> Vec<String> {
        (mown.iter())
            .filter(|m| of(&m.0).is_none() == gone && of(&m.0) != Some(**m))
            .map(|m| m.0.clone())
            .collect()
    };
    // A visit to a fairway without a fingerprint was written by hand.
    let bare = (file.standing.visits.iter())
        .find(|v| !mown.iter().any(|m| m.0 == v.fairway))
        .map(|v| v.fairway.clone());
    let gone: Vec<String> = pick(true).into_iter().chain(bare).collect();
    if !gone.is_empty() {
        return Err(Stale::Gone { fairways: gone });
    }
    let fairways = pick(false);
    if fairways.is_empty() {
        Ok(())
    } else {
        Err(Stale::Ground { fairways })
    }
}

/// Whether a mower is the one of that kind that the programme was made for.
///
/// # Errors
/// [`Stale::Mower`] when it is not.
pub fn mower(file: &StandingFile, kind: usize, mower: &Mower, from: &str) -> Result<(), Stale> {
    let print = fingerprint::mower(mower);
    match file.mowers.get(kind) {
        Some((_, p)) if *p == print => Ok(()),
        _ => Err(Stale::Mower {
            mower: mower.name.clone(),
            from: from.to_string(),
        }),
    }
}
