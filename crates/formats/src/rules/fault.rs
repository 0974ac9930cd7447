//! What can be wrong with a file of rules, and what to do.

use crate::input::InputError;
use std::fmt;

/// One entry of the file that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleEntryFault {
    /// Where it stands, such as `season.to`.
    pub rule: String,
    /// What is there.
    pub found: String,
    /// What should be there.
    pub expected: String,
}

impl fmt::Display for RuleEntryFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}; give {}", self.rule, self.found, self.expected)
    }
}

/// Why a rules file could not be read: all faults found.
#[derive(Debug)]
pub enum RulesError {
    /// It is no JSON file at all.
    Input(InputError),
    /// Entries cannot be read.
    Entries {
        /// The file.
        file: String,
        /// All of them.
        faults: Vec<RuleEntryFault>,
    },
}

impl fmt::Display for RulesError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            RulesError::Input(e) => e.fmt(f),
            RulesError::Entries { file, faults } => {
                for (i, fault) in faults.iter().enumerate() {
                    if i > 0 {
                        writeln!(f)?;
                    }
                    write!(f, "{file}: {fault}")?;
                }
                Ok(())
            }
        }
    }
}

impl std::error::Error for RulesError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            RulesError::Input(e) => Some(e),
            RulesError::Entries { .. } => None,
        }
    }
}
