//! What a season costs: hours, distance, and money at the user's own rates.
//!
//! No saving is claimed anywhere: the programme stands beside the plain habits, computed on the
//! same ground with the same mower, and the reader compares.

use crate::rules::{Rates, VerticalMowing};
use crossgrain_metrics::capacity::shift_minutes;

/// What vertical mowing costs at the user's own rates. Nothing is said about what it does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VerticalCost {
    /// Hours at work, turns included.
    pub hours: f64,
    /// Hours of clearing up.
    pub clearing_hours: f64,
    /// Money for all those hours.
    pub money: f64,
    /// Days closed, each fairway by itself.
    pub fairway_days_closed: f64,
}

/// The cost of vertical mowing over so much ground on so many fairways.
///
/// ```
/// use crossgrain_season::{cost::vertical, rules::VerticalMowing};
/// let v = VerticalMowing { times_a_year: 2.0, width_m: 1.5, speed_m_s: 1.0, efficiency: 0.8,
///     money_per_hour: 40.0, clearing_h_per_ha: 3.0, days_closed: 1.0 };
/// // Twice 6,480 m2 at 1.2 m2 a second: 3 hours; 2 x 0.648 ha x 3 h: 3.888 hours.
/// let c = vertical(&v, 6480.0, 3);
/// assert!((c.hours - 3.0).abs() < 1e-9 && (c.clearing_hours - 3.888).abs() < 1e-9);
/// assert!((c.money - 275.52).abs() < 1e-9);
/// assert_eq!(c.fairway_days_closed, 6.0);
/// ```
pub fn vertical(rates: &VerticalMowing, area_m2: f64, fairways: usize) -> VerticalCost {
    let rate_m2_s = rates.width_m * rates.speed_m_s * rates.efficiency;
    let hours = rates.times_a_year * area_m2 / rate_m2_s / 3600.0;
    let clearing_hours = rates.times_a_year * area_m2 / 10_000.0 * rates.clearing_h_per_ha;
    VerticalCost {
        hours,
        clearing_hours,
        money: (hours + clearing_hours) * rates.money_per_hour,
        fairway_days_closed: rates.times_a_year * rates.days_closed * fairways as f64,
    }
}

/// Cost of a season's mowing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cost {
    /// Visits.
    pub visits: usize,
    /// Hours of mowing, turns and lifting included.
    pub hours: f64,
    /// Hours of shifts that hold them, at the mower's shift efficiency: stops, emptying and the way
    /// between fairways are in it, so it stands beside `hours` and `between_hours`, not on top.
    pub shift_hours: f64,
    /// Hours from fairway to fairway, at the rule's minutes for each visit.
    pub between_hours: f64,
    /// Metres driven on the fairways, reels down and up.
    pub distance_m: f64,
    /// Labour for all those hours, when a rate is given.
    pub labour: Option<f64>,
    /// Fuel for all those hours, litres, when a rate is given.
    pub fuel_l: Option<f64>,
    /// Money for the fuel, when a price is given too.
    pub fuel: Option<f64>,
}

impl Cost {
    /// Prices visits given as (minutes, metres); `shift_efficiency` is the share of a shift that is
    /// driving.
    ///
    /// ```
    /// use crossgrain_season::{cost::Cost, rules::Rates};
    /// let rates = Rates { labour_per_hour: Some(20.0), ..Rates::default() };
    /// let c = Cost::of(&rates, 5.0, 0.8, [(55.0, 4000.0), (115.0, 9000.0)]);
    /// assert_eq!(c.labour, Some(60.0));
    /// assert_eq!(c.fuel, None);
    /// assert!((c.shift_hours - 170.0 / 60.0 / 0.8).abs() < 1e-12);
    /// ```
    pub fn of(
        rates: &Rates,
        between_min: f64,
        shift_efficiency: f64,
        visits: impl IntoIterator<Item = (f64, f64)>,
    ) -> Self {
        let (mut n, mut minutes, mut metres) = (0, 0.0, 0.0);
        for (t, d) in visits {
            n += 1;
            minutes += t;
            metres += d;
        }
        let hours = minutes / 60.0;
        let between_hours = n as f64 * between_min / 60.0;
        let out = hours + between_hours;
        let fuel_l = rates.fuel_l_per_hour.map(|r| r * out);
        Self {
            visits: n,
            hours,
            shift_hours: shift_minutes(minutes, shift_efficiency) / 60.0,
            between_hours,
            distance_m: metres,
            labour: rates.labour_per_hour.map(|r| r * out),
            fuel_l,
            fuel: fuel_l.zip(rates.fuel_per_l).map(|(l, p)| l * p),
        }
    }

    /// Labour and fuel together, when both are priced.
    pub fn money(&self) -> Option<f64> {
        Some(self.labour? + self.fuel?)
    }

    /// The cost of two parts.
    pub fn plus(&self, o: &Cost) -> Cost {
        let both = |a: Option<f64>, b: Option<f64>| a.zip(b).map(|(a, b)| a + b);
        Cost {
            visits: self.visits + o.visits,
            hours: self.hours + o.hours,
            shift_hours: self.shift_hours + o.shift_hours,
            between_hours: self.between_hours + o.between_hours,
            distance_m: self.distance_m + o.distance_m,
            labour: both(self.labour, o.labour),
            fuel_l: both(self.fuel_l, o.fuel_l),
            fuel: both(self.fuel, o.fuel),
        }
    }
}
