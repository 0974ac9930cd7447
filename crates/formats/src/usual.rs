//! Values that can be, but seldom are: a slip of the pen or of the unit.
//!
//! What cannot be at all is refused where it is read. The ranges here are common practice on
//! fairways, taken wide; a value outside is used all the same, and told.

use crossgrain_core::Mower;
use crossgrain_core::inside::model::quantity::{FOOT_M, INCH_M, KMH_M_S};
use crossgrain_season::rules::Rules;
use crossgrain_season::scalping::Observation;
use jiff::civil::Date;

/// What kind of number a value is, for whoever shows it in the user's units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// Metres, the size of a deck or a loop.
    Length,
    /// Metres, the size of a height of cut.
    Height,
    /// Metres a second.
    Speed,
    /// Seconds.
    Seconds,
    /// A plain number.
    Number,
}

/// A value outside its usual range.
#[derive(Debug, Clone, PartialEq)]
pub struct Odd {
    /// The field, as files and options have it.
    pub field: String,
    /// The value.
    pub value: f64,
    /// Smallest usual value.
    pub low: f64,
    /// Largest usual value.
    pub high: f64,
    /// What the numbers are.
    pub quantity: Quantity,
}

/// Cutting widths that fairways are mown with, metres.
pub const DECK_M: (f64, f64) = (48.0 * INCH_M, 20.0 * FOOT_M);
/// Widths of one cutting unit, metres.
pub const UNIT_M: (f64, f64) = (18.0 * INCH_M, 36.0 * INCH_M);
/// Turning radii of fairway mowers and gangs, metres.
pub const TURNING_RADIUS_M: (f64, f64) = (0.5, 8.0);
/// Bench heights of fairways, metres: a quarter of an inch to one and a quarter.
pub const HEIGHT_M: (f64, f64) = (0.25 * INCH_M, 1.25 * INCH_M);
/// Speeds with the reels down, metres a second.
pub const MOWING_M_S: (f64, f64) = (3.0 * KMH_M_S, 16.0 * KMH_M_S);
/// Speeds with the reels up, metres a second.
pub const TRANSPORT_M_S: (f64, f64) = (2.0 * KMH_M_S, 32.0 * KMH_M_S);
/// Time to lift or lower the reels, seconds.
pub const LIFT_S: (f64, f64) = (0.0, 8.0);
/// Overlaps between passes, metres.
pub const OVERLAP_M: (f64, f64) = (1.0 * INCH_M, 12.0 * INCH_M);
/// Diameters of loops, metres: the smallest of light mowers to those of large gangs.
pub const LOOP_M: (f64, f64) = (10.0 * FOOT_M, 70.0 * FOOT_M);
/// Fairway mowers that go out on one day.
pub const MOWERS: (f64, f64) = (1.0, 8.0);
/// Hours that one mower mows fairways a day.
pub const HOURS: (f64, f64) = (1.0, 12.0);

/// Tells `value` if it lies outside `usual`.
pub fn outside(
    field: impl Into<String>,
    value: f64,
    usual: (f64, f64),
    quantity: Quantity,
) -> Option<Odd> {
    // A range's own ends may come through a unit and back.
    let slack = 1e-9 * usual.1.abs();
    (!(usual.0 - slack..=usual.1 + slack).contains(&value)).then(|| Odd {
        field: field.into(),
        value,
        low: usual.0,
        high: usual.1,
        quantity,
    })
}

/// What is odd about a mower.
///
/// ```
/// use crossgrain_core::Mower;
/// // 28 ft where 28 in is meant.
/// let odd = crossgrain_formats::usual::mower(&Mower::bar(28.0 * 0.3048));
/// assert_eq!(odd[0].field, "cutting width");
/// assert!(crossgrain_formats::usual::mower(&Mower::bar(2.54)).is_empty());
/// ```
pub fn mower(m: &Mower) -> Vec<Odd> {
    use Quantity::{Height, Length, Seconds, Speed};
    let mut out = Vec::new();
    out.extend(outside(
        "cutting width",
        m.cutting_width_m(),
        DECK_M,
        Length,
    ));
    if m.units.len() > 1 {
        for (i, u) in m.units.iter().enumerate() {
            out.extend(outside(
                format!("units[{i}].width_m"),
                u.width_m,
                UNIT_M,
                Length,
            ));
        }
    }
    out.extend(outside(
        "turning_radius_m",
        m.turning_radius_m,
        TURNING_RADIUS_M,
        Length,
    ));
    for (name, v, usual) in [
        ("mowing", m.speeds.mowing_m_s, MOWING_M_S),
        ("loops", m.speeds.loops_m_s, MOWING_M_S),
        ("transport", m.speeds.transport_m_s, TRANSPORT_M_S),
        ("turning", m.speeds.turning_m_s, TRANSPORT_M_S),
    ] {
        out.extend(outside(format!("speeds_kmh.{name}"), v, usual, Speed));
    }
    out.extend(outside("lift_lower_s", m.lift_lower_s, LIFT_S, Seconds));
    if let Some(h) = m.bench_height_m {
        out.extend(outside("bench_height_mm", h, HEIGHT_M, Height));
    }
    out
}

/// What is odd about the rules of a season.
pub fn rules(r: &Rules) -> Vec<Odd> {
    use Quantity::{Height, Length, Number};
    let mut out = Vec::new();
    out.extend(outside(
        "crew.mowers",
        f64::from(r.crew.mowers),
        MOWERS,
        Number,
    ));
    out.extend(outside(
        "crew.hours_per_day",
        r.crew.hours_per_day,
        HOURS,
        Number,
    ));
    out.extend(outside(
        "height.regular",
        r.height.regular_m,
        HEIGHT_M,
        Height,
    ));
    for d in [
        r.grooming.loop_diameter_min_m,
        r.grooming.loop_diameter_max_m,
    ] {
        let odd = outside("grooming.loop_diameter", d, LOOP_M, Length);
        out.extend(odd.filter(|o| !out.contains(o)));
    }
    for (name, f) in &r.fairways {
        if let Some(h) = f.height_m {
            out.extend(outside(
                format!("fairways.{name}.height"),
                h,
                HEIGHT_M,
                Height,
            ));
        }
    }
    out
}

/// Days of a scalping log that lie outside the season: another year, as a rule.
pub fn days_outside(log: &[Observation], from: Date, to: Date) -> Vec<Date> {
    let mut out: Vec<Date> = log
        .iter()
        .map(|o| o.date)
        .filter(|d| !(from..=to).contains(d))
        .collect();
    out.sort();
    out.dedup();
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn slips_of_the_unit_are_told_and_the_samples_are_not() {
        let mut m = Mower::bar(2.54);
        assert_eq!(mower(&m), []);
        m.turning_radius_m = 6.0 * INCH_M;
        m.bench_height_m = Some(5.0 * INCH_M);
        let fields: Vec<String> = mower(&m).into_iter().map(|o| o.field).collect();
        assert_eq!(fields, ["turning_radius_m", "bench_height_mm"]);
        for sample in ["light-five.json", "large-gang.json"] {
            let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples");
            let m = crate::mower::open(&path.join(sample)).unwrap();
            assert_eq!(mower(&m), [], "{sample}");
        }
    }

    #[test]
    fn odd_rules_are_told_once() {
        let mut r = Rules::between(date(2027, 4, 1), date(2027, 10, 31));
        assert_eq!(rules(&r), []);
        r.crew.mowers = 99;
        r.grooming.loop_diameter_min_m = 1.0;
        r.grooming.loop_diameter_max_m = 1.0;
        let fields: Vec<String> = rules(&r).into_iter().map(|o| o.field).collect();
        assert_eq!(fields, ["crew.mowers", "grooming.loop_diameter"]);
    }
}
