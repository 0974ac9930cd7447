//! What became of every feature of a file: used, or left aside for a reason.

use super::feature::Feature;
use super::problem::FeatureRef;
use super::roles;
use std::fmt;

/// What became of one feature.
#[derive(Debug, Clone, PartialEq)]
pub struct Account {
    /// The feature.
    pub feature: FeatureRef,
    /// What it says of itself, such as `golf=rough`.
    pub says: String,
    /// What it draws: `area`, `line`, `point`, or nothing.
    pub draws: &'static str,
    /// What became of it.
    pub fate: Fate,
}

/// Used or left aside.
#[derive(Debug, Clone, PartialEq)]
pub enum Fate {
    /// Part of the course, as this.
    UsedAs(&'static str),
    /// Not part of the course.
    LeftAside {
        /// Why.
        why: &'static str,
        /// The fairway that it touches, where it may be a hazard there.
        touches: Option<String>,
    },
}

impl fmt::Display for Account {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({}, {}): ", self.feature, self.says, self.draws)?;
        match &self.fate {
            Fate::UsedAs(role) => write!(f, "used as {role}"),
            Fate::LeftAside { why, touches: None } => write!(f, "left aside: {why}"),
            Fate::LeftAside {
                why,
                touches: Some(fairway),
            } => write!(
                f,
                "left aside although it touches fairway '{fairway}': {why}; give it a role, such as \"role\": \"keep-out\", or \"role\": \"aside\" if it is mown over"
            ),
        }
    }
}

/// Kept while a file is read: one line a feature.
#[derive(Debug, Default)]
pub(crate) struct Ledger {
    lines: Vec<Line>,
}

#[derive(Debug, Clone, Default)]
struct Line {
    used: Option<&'static str>,
    aside: Option<&'static str>,
    hazard: bool,
}

impl Ledger {
    pub fn new(count: usize) -> Self {
        Self {
            lines: vec![Line::default(); count],
        }
    }

    pub fn used(&mut self, feature: usize, role: &'static str) {
        if let Some(line) = self.lines.get_mut(feature) {
            line.used = Some(role);
        }
    }

    /// A feature, or a part of one, that is not used; `hazard` where it may have to be kept off.
    pub fn aside(&mut self, feature: usize, why: &'static str, hazard: bool) {
        if let Some(line) = self.lines.get_mut(feature) {
            line.aside = line.aside.or(Some(why));
            line.hazard |= hazard;
        }
    }

    /// A feature that was used for something which then was out of everything's range.
    pub fn not_used_after_all(&mut self, feature: usize, why: &'static str) {
        if let Some(line) = self.lines.get_mut(feature) {
            line.used = None;
            line.aside = line.aside.or(Some(why));
        }
    }

    /// Features that may be hazards and are not used, or not all of which is used.
    pub fn hazards(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.lines.len()).filter(|&i| self.lines[i].hazard)
    }

    /// Features of which a part is used and a part is not, with the reason.
    pub fn partly(&self) -> impl Iterator<Item = (usize, &'static str)> + '_ {
        self.lines
            .iter()
            .enumerate()
            .filter_map(|(i, l)| Some((i, l.used.and(l.aside)?)))
    }

    /// The account, given which fairway each possible hazard touches.
    pub fn close(
        self,
        features: &[Feature],
        touches: &dyn Fn(usize) -> Option<String>,
    ) -> Vec<Account> {
        features
            .iter()
            .zip(self.lines)
            .enumerate()
            .map(|(i, (feature, line))| Account {
                feature: feature.source.clone(),
                says: roles::said(&feature.properties),
                draws: feature.geometry.first().map_or("nothing", |g| g.word()),
                fate: match line.used {
                    Some(role) => Fate::UsedAs(role),
                    None => Fate::LeftAside {
                        why: line.aside.unwrap_or("nothing of it can be used"),
                        touches: touches(i),
                    },
                },
            })
            .collect()
    }
}
