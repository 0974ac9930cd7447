//! How often each mow is made: a convex choice, and a bound that nothing beats.
//!
//! Over a season the grain of a cell is a sum: of the doubled-angle vectors of all passes over
//! it. So what counts is how often each mow is made, not when, and how often is the choice here.
//! [`mix`] says what may be chosen, [`spread`] what is minimised (convex), [`relax`] finds the
//! best shares when visits may be split, with a certificate, [`round`] makes whole visits of
//! them. [`r2_bound`] bounds the mean grain itself.
//!
//! Nothing here knows a date, a file or a fairway.

mod eigen;
pub mod mix;
pub mod r2_bound;
pub mod relax;
pub mod round;
pub mod simplices;
pub mod spread;
#[cfg(test)]
mod tests;
