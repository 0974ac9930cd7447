//! Field capacity: how much ground a mower covers in an hour.
//!
//! Effective capacity is speed x width x efficiency (Srivastava, Goering, Rohrbach and
//! Buckmaster, *Engineering Principles of Agricultural Machines*, ASABE 2006, eq. 15.1, where
//! it reads S W E / 10 in ha/h with km/h and m). Theoretical capacity is the same at an
//! efficiency of 1; in acres per hour it is ft x mph / 8.25 (Hancock et al., University of
//! Kentucky AEN-73, 1991), 8.25 being 43,560 / 5,280.
//!
//! Efficiency is an input: published ranges for mowers conflict from copy to copy.

use crossgrain_core::model::units::ACRE_M2;

/// Square metres in a hectare.
pub const HECTARE_M2: f64 = 10_000.0;

const SECONDS_PER_HOUR: f64 = 3600.0;

/// Ground covered in a second with no overlap and no stop, square metres per second.
pub fn theoretical_m2_s(cutting_width_m: f64, speed_m_s: f64) -> f64 {
    cutting_width_m * speed_m_s
}

/// Ground covered in a second at a field efficiency from 0 to 1, square metres per second.
///
/// ```
/// use crossgrain_metrics::capacity::{effective_m2_s, ha_per_h};
/// // 20 m at 5 km/h and 92.5%.
/// let c = ha_per_h(effective_m2_s(20.0, 5.0 / 3.6, 0.925));
/// assert!((c - 9.25).abs() < 1e-12);
/// ```
pub fn effective_m2_s(cutting_width_m: f64, speed_m_s: f64, efficiency: f64) -> f64 {
    theoretical_m2_s(cutting_width_m, speed_m_s) * efficiency
}

/// Hectares per hour for square metres per second.
pub fn ha_per_h(m2_s: f64) -> f64 {
    m2_s * SECONDS_PER_HOUR / HECTARE_M2
}

/// Acres per hour for square metres per second.
pub fn acre_per_h(m2_s: f64) -> f64 {
    m2_s * SECONDS_PER_HOUR / ACRE_M2
}

/// Field efficiency of a job that covered `area_m2` in `time_s`: effective over theoretical
/// capacity. Zero when no time or no capacity is given.
pub fn field_efficiency(area_m2: f64, time_s: f64, cutting_width_m: f64, speed_m_s: f64) -> f64 {
    let could = theoretical_m2_s(cutting_width_m, speed_m_s) * time_s;
    if could > 0.0 { area_m2 / could } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use crossgrain_core::model::units::{FOOT_M, KMH_M_S, MPH_M_S};

    /// A printed figure stands for everything that rounds to it: half a unit of its last digit.
    fn assert_prints(value: f64, printed: &str) {
        let decimals = printed.split('.').nth(1).map_or(0, str::len);
        assert_eq!(format!("{value:.decimals$}"), printed);
    }

    #[test]
    fn acres_per_hour_as_printed() {
        // Iowa State University, PM 696, 2001: width ft, speed mph, efficiency %, acres per hour.
        let pm_696 = [
            (40.0, 6.0, 70.0, "20.4"),
            (50.0, 6.0, 70.0, "25.5"),
            (10.0, 5.0, 63.0, "3.8"),
            (15.0, 5.0, 63.0, "5.7"),
            (20.0, 6.0, 63.0, "9.2"),
            (30.0, 6.0, 60.0, "13.1"),
        ];
        // Iowa State University, Ag Decision Maker A3-24.
        let a3_24 = [
            (60.0, 6.0, 68.0, "29.7"),
            (60.0, 12.0, 68.0, "59.3"),
            (80.0, 6.0, 68.0, "39.6"),
            (80.0, 12.0, 68.0, "79.1"),
            (36.0, 5.0, 60.0, "13.1"),
            (45.0, 5.0, 60.0, "16.4"),
        ];
        for (ft, mph, percent, printed) in pm_696.into_iter().chain(a3_24) {
            let c = effective_m2_s(ft * FOOT_M, mph * MPH_M_S, percent / 100.0);
            assert_prints(acre_per_h(c), printed);
        }
    }

    #[test]
    fn hectares_per_hour_as_printed() {
        // ICAR-IASRI e-course on farm machinery: width m, speed km/h, efficiency %, ha per hour.
        assert_prints(ha_per_h(effective_m2_s(1.0, 5.0 * KMH_M_S, 0.80)), "0.4");
        assert_prints(ha_per_h(effective_m2_s(0.9, 4.0 * KMH_M_S, 0.70)), "0.25");
        // The same figure before rounding.
        assert_relative_eq!(
            ha_per_h(effective_m2_s(0.9, 4.0 * KMH_M_S, 0.70)),
            0.252,
            epsilon = 1e-12
        );
        // ICAR lesson 6: 20 m at 5 km/h, 92.5%.
        assert_prints(ha_per_h(theoretical_m2_s(20.0, 5.0 * KMH_M_S)), "10");
        assert_prints(ha_per_h(effective_m2_s(20.0, 5.0 * KMH_M_S, 0.925)), "9.25");
    }

    #[test]
    fn feet_times_miles_per_hour_over_eight_and_a_quarter() {
        // Hancock et al., University of Kentucky AEN-73, 1991.
        for (ft, mph) in [(8.25, 1.0), (10.0, 4.5), (33.0, 6.0)] {
            let c = acre_per_h(theoretical_m2_s(ft * FOOT_M, mph * MPH_M_S));
            assert_relative_eq!(c, ft * mph / 8.25, epsilon = 1e-12);
        }
    }

    #[test]
    fn efficiency_is_the_way_back() {
        let c = effective_m2_s(2.54, 2.2, 0.8);
        assert_relative_eq!(field_efficiency(c * 600.0, 600.0, 2.54, 2.2), 0.8);
        assert_eq!(field_efficiency(1.0, 0.0, 2.54, 2.2), 0.0);
    }
}
