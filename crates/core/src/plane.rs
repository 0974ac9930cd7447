//! Longitude and latitude in and out: the local plane, azimuthal equidistant about a centre on WGS 84.
//!
//! A point's distance and azimuth from the centre are those of the geodesic (Karney,
//! "Algorithms for geodesics", *Journal of Geodesy* 87, 2013), laid out flat: x east, y north,
//! metres. Distances from the centre are exact; across, at 3 km from the centre, they are long
//! by s^2 / (6 R^2), which is 4e-8 (Snyder, *Map Projections: A Working Manual*, 1987, ch. 25).

use geo_types::{Coord, LineString, Polygon};
use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};

/// A position on WGS 84.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct LonLat {
    /// Longitude, degrees east.
    pub lon_deg: f64,
    /// Latitude, degrees north.
    pub lat_deg: f64,
}

impl LonLat {
    /// Longitude and latitude in the order of GeoJSON (RFC 7946).
    pub fn position(self) -> [f64; 2] {
        [self.lon_deg, self.lat_deg]
    }
}

impl From<[f64; 2]> for LonLat {
    /// From longitude and latitude, in this order.
    fn from([lon_deg, lat_deg]: [f64; 2]) -> Self {
        Self { lon_deg, lat_deg }
    }
}

/// The plane in which a course lies flat, metres; x east, y north.
#[derive(Debug, Clone)]
pub struct Plane {
    origin: LonLat,
    earth: Geodesic,
}

impl Plane {
    /// A plane about a centre; `None` unless the longitude lies within 180 degrees of zero and
    /// the latitude within 90.
    ///
    /// ```
    /// use crossgrain_core::Plane;
    /// let plane = Plane::new([10.0, 50.0]).unwrap();
    /// let p = plane.to_metres([10.0, 50.001]);
    /// // A thousandth of a degree of latitude is about 111 m.
    /// assert!(p.x.abs() < 1e-9 && (p.y - 111.2).abs() < 0.1);
    /// ```
    pub fn new(origin: impl Into<LonLat>) -> Option<Self> {
        let origin = origin.into();
        (origin.lon_deg.abs() <= 180.0 && origin.lat_deg.abs() <= 90.0).then(|| Self {
            origin,
            earth: Geodesic::wgs84(),
        })
    }

    /// A plane about the middle of the bounds of some positions. Longitudes are unwrapped, so
    /// positions on both sides of the antimeridian are near. `None` without a position.
    pub fn about(positions: impl IntoIterator<Item = impl Into<LonLat>>) -> Option<Self> {
        let mut positions = positions.into_iter().map(Into::into);
        let first: LonLat = positions.next()?;
        let (mut west, mut east) = (0.0_f64, 0.0_f64);
        let (mut south, mut north) = (first.lat_deg, first.lat_deg);
        for p in positions {
            let d = unwrap_deg(p.lon_deg - first.lon_deg);
            (west, east) = (west.min(d), east.max(d));
            (south, north) = (south.min(p.lat_deg), north.max(p.lat_deg));
        }
        // A ten-millionth of a degree is a centimetre: round, so that the origin reads well. Files
        // carry as many decimals, so the middle of two lies on a multiple or halfway between two:
        // a quarter is added, lest the last bit of a conversion decides which.
        let round = |deg: f64| (deg * 1e7 + 0.25).round() / 1e7;
        Self::new([
            round(unwrap_deg(first.lon_deg + (west + east) / 2.0)),
            round((south + north) / 2.0),
        ])
    }

    /// Its centre.
    pub fn origin(&self) -> LonLat {
        self.origin
    }

    /// Metres east and north of the origin.
    pub fn to_metres(&self, at: impl Into<LonLat>) -> Coord<f64> {
        let (at, from) = (at.into(), self.origin);
        let (s, azimuth_deg, _, _): (f64, f64, f64, f64) =
            self.earth
                .inverse(from.lat_deg, from.lon_deg, at.lat_deg, at.lon_deg);
        let (sin, cos) = azimuth_deg.to_radians().sin_cos();
        Coord {
            x: s * sin,
            y: s * cos,
        }
    }

    /// A line through positions, such as a hole line, metres.
    pub fn line(&self, positions: impl IntoIterator<Item = impl Into<LonLat>>) -> LineString<f64> {
        positions.into_iter().map(|p| self.to_metres(p)).collect()
    }

    /// An area from the positions round it, metres.
    pub fn area(&self, positions: impl IntoIterator<Item = impl Into<LonLat>>) -> Polygon<f64> {
        Polygon::new(self.line(positions), Vec::new())
    }

    /// The position of a point in the plane; longitude in [-180, 180].
    pub fn lon_lat(&self, at: Coord<f64>) -> LonLat {
        let (lat_deg, lon_deg): (f64, f64) = self.earth.direct(
            self.origin.lat_deg,
            self.origin.lon_deg,
            at.x.atan2(at.y).to_degrees(),
            at.x.hypot(at.y),
        );
        LonLat { lon_deg, lat_deg }
    }

    /// Length of the geodesic between two positions, metres.
    #[doc(hidden)]
    pub fn distance_m(&self, a: impl Into<LonLat>, b: impl Into<LonLat>) -> f64 {
        let (a, b) = (a.into(), b.into());
        self.earth
            .inverse(a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg)
    }
}

/// A difference of longitudes folded into [-180, 180).
pub fn unwrap_deg(deg: f64) -> f64 {
    (deg + 180.0).rem_euclid(360.0) - 180.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn distances_are_true_to_a_millimetre_in_a_hundred_metres_and_positions_come_back() {
        for centre in [
            [0.0, 0.0],
            [-121.9, 36.57],
            [179.9999, -17.5],
            [-180.0, 52.0],
            [25.0, 71.0],
            [-3.0, -89.95],
            [10.0, 90.0],
        ] {
            let plane = Plane::new(centre).unwrap();
            // Within 3 km of the origin, on a spiral.
            let spiral = (0..60).map(|i| (50.0 * f64::from(i), 2.4 * f64::from(i)));
            let spiral: Vec<Coord<f64>> = spiral
                .map(|(r, t)| Coord::from((r * t.cos(), r * t.sin())))
                .collect();
            for p in &spiral {
                let a = plane.lon_lat(*p).position();
                assert!((-180.0..=180.0).contains(&a[0]));
                let back = plane.to_metres(a);
                assert_abs_diff_eq!(p.x, back.x, epsilon = 1e-7);
                assert_abs_diff_eq!(p.y, back.y, epsilon = 1e-7);
                for q in &spiral {
                    let b = plane.lon_lat(*q).position();
                    let flat_m = (p.x - q.x).hypot(p.y - q.y);
                    let off_m = (flat_m - plane.distance_m(a, b)).abs();
                    assert!(off_m <= 1e-5 * flat_m + 1e-6, "{a:?} {b:?}: {off_m}");
                }
            }
        }
    }

    #[test]
    fn the_last_bit_of_a_position_does_not_move_the_origin() {
        let origin = |d: f64| {
            let p = Plane::about([[-103.1 + d, 45.0], [-103.087_393_5, 45.000_000_1 - d]]).unwrap();
            p.origin().position()
        };
        for d in [1e-12, -1e-12, 1e-13] {
            assert_eq!(origin(d), origin(0.0));
        }
    }

    #[test]
    fn the_centre_of_points_across_the_antimeridian_lies_between_them() {
        let plane = Plane::about([[179.999, 10.0], [-179.997, 10.002]]).unwrap();
        assert_abs_diff_eq!(plane.origin().lon_deg, -179.999, epsilon = 1e-9);
        assert_abs_diff_eq!(plane.origin().lat_deg, 10.001, epsilon = 1e-9);
        assert!(plane.to_metres([179.999, 10.0]).x < 0.0);
        assert!(plane.to_metres([-179.997, 10.0]).x > 0.0);
        assert!(Plane::about([] as [LonLat; 0]).is_none());
        assert!(Plane::new([f64::NAN, 0.0]).is_none());
    }
}
