//! Positions in degrees: which number comes first, doubts about it, and how they are shown.

use std::fmt;

/// Which of the two numbers of a position comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Positions {
    /// Longitude, as GeoJSON has it (RFC 7946, 3.1.1); told when the other explains more.
    #[default]
    AsUsual,
    /// Longitude, and the user has said so.
    LonLat,
    /// Latitude.
    LatLon,
}

/// Why latitude and longitude seem to be changed over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Doubt {
    /// There is no course so far north or south.
    NoCourseThere,
    /// Greens, tees and bunkers are stretched one way on the average.
    Stretched {
        /// How many times as long from east to west as from north to south.
        east_west: f64,
    },
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Doubt::NoCourseThere => write!(f, "where there is no course"),
            Doubt::Stretched { east_west } => write!(
                f,
                "and its greens, tees and bunkers are {east_west:.2} times as long from east to west as from north to south"
            ),
        }
    }
}

/// A place with its hemispheres.
///
/// ```
/// use crossgrain_formats::course::shown_place;
/// assert_eq!(shown_place([-103.0876, 45.0312]), "45.0312 N 103.0876 W");
/// ```
pub fn shown_place([lon_deg, lat_deg]: [f64; 2]) -> String {
    format!(
        "{:.4} {} {:.4} {}",
        lat_deg.abs(),
        if lat_deg < 0.0 { "S" } else { "N" },
        lon_deg.abs(),
        if lon_deg < 0.0 { "W" } else { "E" }
    )
}
