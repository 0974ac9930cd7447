//! Field capacity: how much ground a mower covers in an hour, and how long a shift that takes.
//!
//! Effective capacity is speed x width x efficiency (Srivastava, Goering, Rohrbach and
//! Buckmaster, *Engineering Principles of Agricultural Machines*, ASABE 2006, eq. 15.1, where
//! it reads S W E / 10 in ha/h with km/h and m). Theoretical capacity is the same at an
//! efficiency of 1; in acres per hour it is ft x mph / 8.25 (Hancock et al., University of
//! Kentucky AEN-73, 1991), 8.25 being 43,560 / 5,280.
//!
//! Two efficiencies are kept apart. The *field efficiency* of a mow is measured from its drive:
//! turns, overlap, lifting. The *shift efficiency* is the crew's own figure: stops, emptying, the
//! way between fairways ([`crossgrain_core::inside::model::mower::DEFAULT_SHIFT_EFFICIENCY`]).

use crossgrain_core::inside::model::quantity::ACRE_M2;

/// Square metres in a hectare.
pub const HECTARE_M2: f64 = 10_000.0;

/// Field efficiency of a job that covered `area_m2` in `time_s`: effective over theoretical
/// capacity. Zero when no time or no capacity is given.
///
/// ```
/// use crossgrain_metrics::capacity::field_efficiency;
/// // 1,000 m2 in ten minutes with 2 m at 2 m/s, which could have covered 2,400 m2.
/// assert!((field_efficiency(1000.0, 600.0, 2.0, 2.0) - 1.0 / 2.4).abs() < 1e-12);
/// ```
pub fn field_efficiency(area_m2: f64, time_s: f64, cutting_width_m: f64, speed_m_s: f64) -> f64 {
    let could = cutting_width_m * speed_m_s * time_s;
    if could > 0.0 { area_m2 / could } else { 0.0 }
}

/// Minutes of a shift that hold so many minutes of driving, at a shift efficiency above 0 to 1.
///
/// ```
/// use crossgrain_metrics::capacity::shift_minutes;
/// assert_eq!(shift_minutes(40.0, 0.8), 50.0);
/// ```
pub fn shift_minutes(driving_minutes: f64, shift_efficiency: f64) -> f64 {
    driving_minutes / shift_efficiency
}

/// Square metres an hour of a job that covered `area_m2` in so many minutes; zero without time.
pub fn m2_per_h(area_m2: f64, minutes: f64) -> f64 {
    if minutes > 0.0 {
        area_m2 / minutes * 60.0
    } else {
        0.0
    }
}

/// Hectares in square metres.
pub fn hectares(m2: f64) -> f64 {
    m2 / HECTARE_M2
}

/// Acres in square metres.
pub fn acres(m2: f64) -> f64 {
    m2 / ACRE_M2
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_rate_is_ground_over_time() {
        assert_relative_eq!(m2_per_h(5000.0, 30.0), 10_000.0);
        assert_relative_eq!(hectares(m2_per_h(5000.0, 30.0)), 1.0);
        assert_relative_eq!(acres(43_560.0 * 0.3048 * 0.3048), 1.0, epsilon = 1e-12);
        let none = (m2_per_h(5000.0, 0.0), field_efficiency(1.0, 0.0, 2.54, 2.2));
        assert_eq!(none, (0.0, 0.0));
    }
}
