//! Whether the place and the sizes of a course are believable.

use super::drawings::DrawnShape;
use super::notice::Notice;
use super::position::Doubt;
use super::reading::Reading;
use super::role::Role;
use crossgrain_core::Fairway;
use crossgrain_core::Plane;
use crossgrain_core::inside::plane::unwrap_deg;
use geo::BoundingRect;

/// A fairway above this is worth a question, square metres. The largest have 3 to 4 ha (common
/// practice; double fairways included).
pub const MAX_FAIRWAY_M2: f64 = 100_000.0;
/// A fairway below this is a scrap, square metres: smaller than a tee.
pub const MIN_FAIRWAY_M2: f64 = 100.0;
/// A course above this is worth a question, metres from one end to the other.
pub const MAX_COURSE_M: f64 = 5_000.0;
/// No course lies farther north than this, degrees (from memory: a little beyond 70 in Norway).
const NORTHERNMOST_DEG: f64 = 72.0;
/// No course lies farther south than this, degrees (from memory: 55 in Tierra del Fuego).
const SOUTHERNMOST_DEG: f64 = -56.0;
/// Fewer small shapes than this say nothing about the scale.
const MIN_SHAPES: usize = 8;
/// The mean stretch must stand out from its scatter by this factor.
const STANDARD_ERRORS: f64 = 4.0;
/// A mean stretch below this is how a course is laid out, as a logarithm.
const MIN_STRETCH: f64 = 0.1;

impl Reading<'_> {
    /// Sizes that no fairway and no course has.
    pub(crate) fn sizes(&mut self, fairways: &[Fairway]) {
        for f in fairways {
            let area_m2 = f.ground_m2();
            let fairway = f.name().to_string();
            if area_m2 > MAX_FAIRWAY_M2 {
                self.notices.push(Notice::Huge { fairway, area_m2 });
            } else if area_m2 < MIN_FAIRWAY_M2 {
                self.notices.push(Notice::Scrap { fairway, area_m2 });
            }
        }
        let bounds = geo_types::GeometryCollection::from_iter(
            fairways.iter().flat_map(|f| f.ground().iter().cloned()),
        )
        .bounding_rect();
        if let Some(b) = bounds
            && b.width().max(b.height()) > MAX_COURSE_M
        {
            self.notices.push(Notice::Wide {
                across_m: b.width().max(b.height()),
            });
        }
    }

    /// Whether latitude and longitude changed over explain the file better.
    pub(crate) fn order_of_positions(&mut self, plane: &Plane) {
        let lonlat_deg = [plane.origin().lon_deg, plane.origin().lat_deg];
        let stretches: Vec<f64> = self
            .drawings
            .iter()
            .filter(|d| matches!(d.role, Role::KeepOut(_)))
            .filter_map(|d| match &d.shape {
                DrawnShape::Areas(list) => stretch(list.first()?.first()?),
                _ => None,
            })
            .collect();
        if let Some(why) = doubt(lonlat_deg, &stretches) {
            self.notices.push(Notice::Swapped { lonlat_deg, why });
        }
    }
}

fn doubt([lon_deg, lat_deg]: [f64; 2], stretches: &[f64]) -> Option<Doubt> {
    let course_there = |lat: f64| (SOUTHERNMOST_DEG..=NORTHERNMOST_DEG).contains(&lat);
    if !course_there(lat_deg) {
        return course_there(lon_deg).then_some(Doubt::NoCourseThere);
    }
    if !course_there(lon_deg) || stretches.len() < MIN_SHAPES {
        return None;
    }
    // Greens, tees and bunkers lie every way round, so that their mean stretch is none. A degree
    // of longitude is shorter than one of latitude by the cosine; changed over, the cosine stands
    // at the wrong one.
    let n = stretches.len() as f64;
    let mean = stretches.iter().sum::<f64>() / n;
    let scatter = (stretches.iter().map(|s| (s - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
    let error = scatter / n.sqrt();
    let as_written = mean + lat_deg.to_radians().cos().ln();
    let changed_over = -mean + lon_deg.to_radians().cos().ln();
    let stands_out = as_written.abs() > MIN_STRETCH.max(STANDARD_ERRORS * error);
    (stands_out && 2.0 * changed_over.abs() < as_written.abs()).then(|| Doubt::Stretched {
        east_west: as_written.exp(),
    })
}

/// Logarithm of a ring's extent in longitude against that in latitude, from second moments of
/// its corners' chords, so that many corners on one side do not count more.
fn stretch(ring: &[[f64; 2]]) -> Option<f64> {
    let first = ring.first()?;
    let (mut length, mut sums, mut squares) = (0.0, [0.0; 2], [0.0; 2]);
    for pair in ring.windows(2) {
        let a = [unwrap_deg(pair[0][0] - first[0]), pair[0][1] - first[1]];
        let b = [unwrap_deg(pair[1][0] - first[0]), pair[1][1] - first[1]];
        let l = (b[0] - a[0]).hypot(b[1] - a[1]);
        length += l;
        for k in 0..2 {
            sums[k] += l * (a[k] + b[k]) / 2.0;
            squares[k] += l * (a[k] * a[k] + a[k] * b[k] + b[k] * b[k]) / 3.0;
        }
    }
    let spread = |k: usize| squares[k] / length - (sums[k] / length).powi(2);
    let (x, y) = (spread(0), spread(1));
    (length > 0.0 && x > 0.0 && y > 0.0).then(|| 0.5 * (x / y).ln())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stretches of boxes of 20 m by 12 m that lie every way round at a latitude.
    fn boxes(lat_deg: f64, changed_over: bool) -> Vec<f64> {
        let shrink = lat_deg.to_radians().cos();
        (0..36)
            .filter_map(|i| {
                let (sin, cos) = (f64::from(i) * 0.7).sin_cos();
                let ring: Vec<[f64; 2]> =
                    [(10., 6.), (-10., 6.), (-10., -6.), (10., -6.), (10., 6.)]
                        .map(|(u, v)| {
                            let lon = (u * cos - v * sin) * 1e-5 / shrink;
                            let lat = (u * sin + v * cos) * 1e-5;
                            if changed_over { [lat, lon] } else { [lon, lat] }
                        })
                        .to_vec();
                stretch(&ring)
            })
            .collect()
    }

    #[test]
    fn a_course_changed_over_is_asked_about_and_a_sound_one_is_not() {
        // Near Lyon and off the Horn of Africa.
        assert_eq!(doubt([5.0, 45.0], &boxes(45.0, false)), None);
        let found = doubt([45.0, 5.0], &boxes(45.0, true));
        assert!(
            matches!(found, Some(Doubt::Stretched { east_west }) if east_west < 0.75),
            "{found:?}"
        );
        // Florida and Antarctica; the shapes are not needed.
        assert_eq!(doubt([-81.4, 28.5], &[]), None);
        assert_eq!(doubt([28.5, -81.4], &[]), Some(Doubt::NoCourseThere));
        // Neither way round makes sense, or both do: nothing to ask.
        assert_eq!(doubt([100.0, 80.0], &[]), None);
        assert_eq!(doubt([5.0, 45.0], &boxes(45.0, true)[..4]), None);
    }
}
