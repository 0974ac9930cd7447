//! Lengths, speeds and headings at the edges of the program: parsed and shown.
//!
//! Inside, everything is metres, seconds and radians. A bare number is refused, because
//! "100" may be inches to one reader and feet to another.

use std::f64::consts::FRAC_PI_2;
use std::fmt;

/// Metres in an international inch, exact by definition (1959 agreement; NIST SP 811).
pub const INCH_M: f64 = 0.0254;
/// Metres in an international foot, exact.
pub const FOOT_M: f64 = 0.3048;
/// Metres in an international yard, exact.
pub const YARD_M: f64 = 0.9144;
/// Metres per second in a mile per hour, exact.
pub const MPH_M_S: f64 = 0.44704;
/// Metres per second in a kilometre per hour.
pub const KMH_M_S: f64 = 1.0 / 3.6;
/// Square metres in an acre of 43,560 square feet.
pub const ACRE_M2: f64 = 43_560.0 * FOOT_M * FOOT_M;

/// The units a crew uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UnitSystem {
    /// Inches, feet, yards, miles per hour.
    Us,
    /// Millimetres, metres, kilometres per hour.
    Metric,
}

/// Why a length or speed could not be read.
#[derive(Debug, Clone, PartialEq)]
pub struct QuantityError {
    /// What was given.
    pub text: String,
    /// What is wrong with it.
    pub reason: Unreadable,
}

/// What is wrong with a length or speed.
#[derive(Debug, Clone, PartialEq)]
pub enum Unreadable {
    /// A number without a unit: the units that would do.
    NoUnit(Units),
    /// A unit nobody knows, and the units that would do.
    UnknownUnit(String, Units),
    /// No number in front of the unit.
    NotANumber,
    /// A number too large, infinite or not a number at all.
    OutOfRange,
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let list = |units: Units| units.iter().map(|u| u.0).collect::<Vec<_>>().join(", ");
        write!(f, "'{}'", self.text)?;
        match &self.reason {
            Unreadable::NoUnit(units) => {
                write!(f, " has no unit; write one after it: {}", list(units))
            }
            Unreadable::UnknownUnit(unit, units) => {
                let known = list(units);
                write!(f, ": the unit '{unit}' is not known; use one of {known}")
            }
            Unreadable::NotANumber => write!(f, " does not start with a number, such as 100in"),
            Unreadable::OutOfRange => write!(f, " is not a finite number of sensible size"),
        }
    }
}

impl std::error::Error for QuantityError {}

/// Names of units and what one of each is in metres or metres per second.
pub type Units = &'static [(&'static str, f64)];

const LENGTHS: Units = &[
    ("in", INCH_M),
    ("ft", FOOT_M),
    ("yd", YARD_M),
    ("mm", 0.001),
    ("cm", 0.01),
    ("m", 1.0),
];
const SPEEDS: Units = &[("mph", MPH_M_S), ("km/h", KMH_M_S), ("m/s", 1.0)];
// Larger than any course; keeps later arithmetic far from overflow.
const MAX_QUANTITY: f64 = 1e7;

/// Reads a length such as `100in` or `22 ft`. Returns metres.
///
/// # Errors
/// [`QuantityError`] with the text and the reason.
///
/// ```
/// use crossgrain_core::inside::model::quantity::parse_length_m;
/// assert!((parse_length_m("100in").unwrap() - 2.54).abs() < 1e-12);
/// assert!(parse_length_m("100").is_err());
/// ```
pub fn parse_length_m(text: &str) -> Result<f64, QuantityError> {
    parse(text, LENGTHS)
}

/// Reads a speed such as `5mph` or `8 km/h`. Returns metres per second.
///
/// # Errors
/// [`QuantityError`] with the text and the reason.
pub fn parse_speed_m_s(text: &str) -> Result<f64, QuantityError> {
    parse(text, SPEEDS)
}

fn parse(text: &str, units: Units) -> Result<f64, QuantityError> {
    let trimmed = text.trim();
    let split = trimmed
        .char_indices()
        .find(|&(i, c)| {
            // An exponent belongs to the number only when digits follow it.
            let exponent = (c == 'e' || c == 'E')
                && i > 0
                && trimmed[i + 1..]
                    .trim_start_matches(['+', '-'])
                    .starts_with(|d: char| d.is_ascii_digit());
            !(c.is_ascii_digit() || c == '.' || c == '+' || c == '-' || exponent)
        })
        .map_or(trimmed.len(), |(i, _)| i);
    let (number, unit) = (&trimmed[..split], trimmed[split..].trim());
    let refused = |reason| {
        let text = text.to_string();
        QuantityError { text, reason }
    };
    let number: f64 = number
        .parse()
        .map_err(|_| refused(Unreadable::NotANumber))?;
    if unit.is_empty() {
        return Err(refused(Unreadable::NoUnit(units)));
    }
    let known = units.iter().find(|u| unit.eq_ignore_ascii_case(u.0));
    let known = known.ok_or_else(|| refused(Unreadable::UnknownUnit(unit.to_string(), units)))?;
    let value = number * known.1;
    if value.is_nan() || value.abs() > MAX_QUANTITY {
        return Err(refused(Unreadable::OutOfRange));
    }
    Ok(value)
}

/// Compass degrees clockwise from true north for a mathematical angle, in [0, 360).
pub fn compass_deg(math_rad: f64) -> f64 {
    let deg = (FRAC_PI_2 - math_rad).to_degrees().rem_euclid(360.0);
    if deg >= 360.0 { 0.0 } else { deg }
}

/// Mathematical angle (radians counter-clockwise from east) for compass degrees.
pub fn math_rad(compass_deg: f64) -> f64 {
    FRAC_PI_2 - compass_deg.to_radians()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn every_unit_is_read() {
        for (text, metres) in [
            ("100in", 2.54),
            ("22 ft", 6.7056),
            ("10yd", 9.144),
            ("250mm", 0.25),
            ("10 cm", 0.1),
            ("2.5m", 2.5),
            ("1e1 m", 10.0),
            (" 4IN ", 0.1016),
        ] {
            assert_relative_eq!(parse_length_m(text).unwrap(), metres, epsilon = 1e-12);
        }
        assert_relative_eq!(parse_speed_m_s("36km/h").unwrap(), 10.0, epsilon = 1e-12);
        assert_relative_eq!(parse_speed_m_s("5 mph").unwrap(), 2.2352, epsilon = 1e-12);
    }

    #[test]
    fn compass_and_mathematics_agree() {
        assert_relative_eq!(compass_deg(0.0), 90.0, epsilon = 1e-12);
        assert_relative_eq!(compass_deg(FRAC_PI_2), 0.0, epsilon = 1e-12);
        for d in [0.0, 41.5, 180.0, 270.0, 359.0] {
            assert_relative_eq!(compass_deg(math_rad(d)), d, epsilon = 1e-9);
        }
    }

    #[test]
    fn what_is_no_length_is_refused_with_the_reason() {
        let unknown = |unit: &str| Unreadable::UnknownUnit(unit.to_string(), LENGTHS);
        for (text, reason) in [
            ("100", Unreadable::NoUnit(LENGTHS)),
            ("3 furlongs", unknown("furlongs")),
            ("3e m", unknown("e m")),
            ("wide", Unreadable::NotANumber),
            ("\u{e9}", Unreadable::NotANumber),
            ("1.2.3 m", Unreadable::NotANumber),
            ("1e300m", Unreadable::OutOfRange),
            ("1e999 m", Unreadable::OutOfRange),
            ("-2e7 m", Unreadable::OutOfRange),
        ] {
            let text = text.to_string();
            assert_eq!(parse_length_m(&text), Err(QuantityError { text, reason }));
        }
        assert_eq!(parse_length_m("1E-1m").unwrap(), 0.1);
    }

    #[test]
    fn north_is_0_never_360() {
        // The next number after a quarter turn: its remainder rounds up to a full circle.
        let beyond = FRAC_PI_2.next_up();
        assert_eq!(compass_deg(FRAC_PI_2), 0.0);
        assert_eq!(compass_deg(beyond), 0.0);
        assert!(compass_deg(FRAC_PI_2.next_down()) >= 0.0);
    }
}
