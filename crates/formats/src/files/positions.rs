//! Positions as a file has them, turned into longitude and latitude or refused.

use super::Found;
pub(super) use crate::systems::{System, SystemError};

impl Found {
    /// Turns a list of positions into degrees.
    pub(super) fn degrees(
        system: &System,
        list: &[[f64; 2]],
    ) -> Result<Vec<[f64; 2]>, SystemError> {
        list.iter().map(|p| system.to_degrees(*p)).collect()
    }

    /// Says once what is to be known of a layer's coordinate system.
    pub(super) fn tell_system(&mut self, system: &System) {
        if let Some(note) = system.note() {
            self.note(note);
        }
    }
}
