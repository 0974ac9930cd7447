//! Fairway + mower + settings -> mow: the one call that plans.

use crate::error::PlanError;
use crate::model::ground::Fairway;
use crate::model::mow::Mow;
use crate::model::mower::Mower;
use crate::model::pattern::Settings;
use crate::planner::Groundwork;

/// Plans one mow of one fairway.
///
/// A fairway that the deck cannot reach at all gives a mow without tracks and a
/// [`Note::TooNarrow`](crate::Note::TooNarrow). Several mows of one fairway share much of the
/// work: see [`Groundwork`].
///
/// # Errors
/// [`PlanError`] when a setting makes no sense for this mower.
pub fn plan(fairway: &Fairway, mower: &Mower, settings: &Settings) -> Result<Mow, PlanError> {
    Groundwork::new(fairway, mower, settings)?.plan(settings)
}

// Whoever embeds this plans on threads of their own: none of these may lose that unseen.
const _: () = {
    const fn is_send_and_sync<T: Send + Sync>() {}
    is_send_and_sync::<Mow>();
    is_send_and_sync::<Fairway>();
    is_send_and_sync::<Mower>();
    is_send_and_sync::<Settings>();
    is_send_and_sync::<PlanError>();
    is_send_and_sync::<crate::ground::faults::Faults>();
};
