//! The local plane of a course: azimuthal equidistant about its centre on WGS 84.
//!
//! A point's distance and azimuth from the centre are those of the geodesic (Karney,
//! "Algorithms for geodesics", *Journal of Geodesy* 87, 2013), laid out flat: x east, y north,
//! metres. Distances from the centre are exact; across, at 3 km from the centre, they are long
//! by s^2 / (6 R^2), which is 4e-8 (Snyder, *Map Projections: A Working Manual*, 1987, ch. 25).

use geo_types::Coord;
use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};

/// The plane of one course.
#[derive(Debug, Clone)]
pub struct Plane {
    origin_lon_deg: f64,
    origin_lat_deg: f64,
    earth: Geodesic,
}

impl Plane {
    /// A plane about a centre; `None` unless the longitude lies within 180 degrees of zero and
    /// the latitude within 90.
    ///
    /// ```
    /// use crossgrain_formats::Plane;
    /// let plane = Plane::new(10.0, 50.0).unwrap();
    /// let p = plane.to_metres(10.0, 50.001);
    /// // A thousandth of a degree of latitude is about 111 m.
    /// assert!(p.x.abs() < 1e-9 && (p.y - 111.2).abs() < 0.1);
    /// ```
    pub fn new(origin_lon_deg: f64, origin_lat_deg: f64) -> Option<Self> {
        (origin_lon_deg.abs() <= 180.0 && origin_lat_deg.abs() <= 90.0).then(|| Self {
            origin_lon_deg,
            origin_lat_deg,
            earth: Geodesic::wgs84(),
        })
    }

    /// A plane about the middle of the bounds of some positions (longitude, latitude, degrees).
    /// Longitudes are unwrapped, so positions on both sides of the antimeridian are near.
    pub fn about(positions: impl IntoIterator<Item = [f64; 2]>) -> Option<Self> {
        let mut positions = positions.into_iter();
        let first = positions.next()?;
        let (mut west, mut east) = (0.0_f64, 0.0_f64);
        let (mut south, mut north) = (first[1], first[1]);
        for [lon, lat] in positions {
            let d = unwrap_deg(lon - first[0]);
            (west, east) = (west.min(d), east.max(d));
            (south, north) = (south.min(lat), north.max(lat));
        }
        // A ten-millionth of a degree is a centimetre: round, so that the origin reads well. Files
        // carry as many decimals, so the middle of two lies on a multiple or halfway between two:
        // a quarter is added, lest the last bit of a conversion decides which.
        let round = |deg: f64| (deg * 1e7 + 0.25).round() / 1e7;
        Self::new(
            round(unwrap_deg(first[0] + (west + east) / 2.0)),
            round((south + north) / 2.0),
        )
    }

    /// Longitude of the origin, degrees east.
    pub fn origin_lon_deg(&self) -> f64 {
        self.origin_lon_deg
    }

    /// Latitude of the origin, degrees north.
    pub fn origin_lat_deg(&self) -> f64 {
        self.origin_lat_deg
    }

    /// Metres east and north of the origin.
    pub fn to_metres(&self, lon_deg: f64, lat_deg: f64) -> Coord<f64> {
        let (s, azimuth_deg, _, _): (f64, f64, f64, f64) =
            self.earth
                .inverse(self.origin_lat_deg, self.origin_lon_deg, lat_deg, lon_deg);
        let (sin, cos) = azimuth_deg.to_radians().sin_cos();
        Coord {
            x: s * sin,
            y: s * cos,
        }
    }

    /// Longitude and latitude, degrees, of a point in the plane; longitude in [-180, 180].
    pub fn to_degrees(&self, at: Coord<f64>) -> [f64; 2] {
        let (lat, lon): (f64, f64) = self.earth.direct(
            self.origin_lat_deg,
            self.origin_lon_deg,
            at.x.atan2(at.y).to_degrees(),
            at.x.hypot(at.y),
        );
        [lon, lat]
    }

    /// Length of the geodesic between two positions (longitude, latitude, degrees), metres.
    pub fn distance_m(&self, a: [f64; 2], b: [f64; 2]) -> f64 {
        self.earth.inverse(a[1], a[0], b[1], b[0])
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

    /// Points within 3 km of the origin, on a spiral.
    fn spiral(plane: &Plane) -> Vec<[f64; 2]> {
        (0..60)
            .map(|i| {
                let (r, t) = (50.0 * f64::from(i), 2.4 * f64::from(i));
                plane.to_degrees(Coord {
                    x: r * t.cos(),
                    y: r * t.sin(),
                })
            })
            .collect()
    }

    const CENTRES: [(f64, f64); 7] = [
        (0.0, 0.0),
        (-121.9, 36.57),
        (179.9999, -17.5),
        (-180.0, 52.0),
        (25.0, 71.0),
        (-3.0, -89.95),
        (10.0, 90.0),
    ];

    #[test]
    fn distances_are_true_to_a_millimetre_in_a_hundred_metres() {
        for (lon, lat) in CENTRES {
            let plane = Plane::new(lon, lat).unwrap();
            let points = spiral(&plane);
            for a in &points {
                for b in &points {
                    let (p, q) = (plane.to_metres(a[0], a[1]), plane.to_metres(b[0], b[1]));
                    let flat = (p.x - q.x).hypot(p.y - q.y);
                    let true_m = plane.distance_m(*a, *b);
                    assert!(
                        (flat - true_m).abs() <= 1e-5 * true_m + 1e-6,
                        "{a:?} {b:?}: {flat} against {true_m}"
                    );
                }
            }
        }
    }

    #[test]
    fn the_last_bit_of_a_position_does_not_move_the_origin() {
        let origin = |d: f64| {
            let p = Plane::about([[-103.1 + d, 45.0], [-103.087_393_5, 45.000_000_1 - d]]).unwrap();
            (p.origin_lon_deg(), p.origin_lat_deg())
        };
        for d in [1e-12, -1e-12, 1e-13] {
            assert_eq!(origin(d), origin(0.0));
        }
    }

    #[test]
    fn there_and_back() {
        for (lon, lat) in CENTRES {
            let plane = Plane::new(lon, lat).unwrap();
            for i in 0..50 {
                let c = Coord {
                    x: 61.0 * f64::from(i) - 1500.0,
                    y: 2900.0 - 117.0 * f64::from(i),
                };
                let [x, y] = plane.to_degrees(c);
                assert!((-180.0..=180.0).contains(&x));
                let d = plane.to_metres(x, y);
                assert_abs_diff_eq!(c.x, d.x, epsilon = 1e-7);
                assert_abs_diff_eq!(c.y, d.y, epsilon = 1e-7);
            }
        }
    }

    #[test]
    fn the_centre_of_points_across_the_antimeridian_lies_between_them() {
        let plane = Plane::about([[179.999, 10.0], [-179.997, 10.002]]).unwrap();
        assert_abs_diff_eq!(plane.origin_lon_deg(), -179.999, epsilon = 1e-9);
        assert_abs_diff_eq!(plane.origin_lat_deg(), 10.001, epsilon = 1e-9);
        assert!(plane.to_metres(179.999, 10.0).x < 0.0);
        assert!(plane.to_metres(-179.997, 10.0).x > 0.0);
        assert!(Plane::about([]).is_none());
        assert!(Plane::new(f64::NAN, 0.0).is_none());
    }
}
