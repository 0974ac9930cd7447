//! The deck as it is: several cutting units, not one bar.
//!
//! On the straight every unit cuts a plain band. On a circle each cuts its own ring: a unit
//! ahead of or behind the axle swings out, so the overlap between a front unit and a rear one
//! changes, and below some diameter it opens and leaves a strip of uncut grass.
//!
//! - [`strips()`]: what the units leave between them, on the straight and on a circle;
//! - [`clean`]: from which diameter on nothing is left, by closed form.
//!
//! The rings are those of one whole turn at one radius. Where a track changes from one radius
//! to another the units do not jump, they swing; the coverage measure sees that exactly.

pub mod clean;
pub mod strips;

pub use clean::{
    Neighbours, Striped, clean_from_radius_m, clean_radius_m, neighbours, striped_radii,
};
pub use strips::{Strip, gaps_on_the_straight, outward_m, ring, strips};
