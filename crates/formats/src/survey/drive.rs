//! A recorded drive, whatever file it came in.

/// One recorded position.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fix {
    /// Longitude, degrees east.
    pub lon_deg: f64,
    /// Latitude, degrees north.
    pub lat_deg: f64,
    /// When, seconds on any clock that runs through the drive.
    pub time_s: Option<f64>,
    /// Error along each axis that the receiver tells of (one standard deviation), metres.
    pub error_m: Option<f64>,
}

/// A recorded drive.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drive {
    /// The positions, in order.
    pub fixes: Vec<Fix>,
    /// Positions without a fix, and damaged lines of a kind that comes damaged.
    pub unusable: usize,
    /// What the user should know of the file.
    pub notes: Vec<String>,
}

/// Error of a civil receiver along an axis for each unit of its dilution of precision, metres
/// (common practice: a user range error of about two metres).
pub(super) const RANGE_ERROR_M: f64 = 2.0;
