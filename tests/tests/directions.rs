//! Direction statistics against published examples.
//!
//! Sources, named at each row: Zar, *Biostatistical Analysis*, 5th ed. 2010; Mardia & Jupp,
//! *Directional Statistics*, 2000; Jammalamadaka & SenGupta, *Topics in Circular Statistics*,
//! 2001 (all three as quoted in the tests of a general statistics library). Rows marked
//! "derived" follow from the definition by hand.

use approx::assert_abs_diff_eq;
use crossgrain_metrics::circular::Resultant;

fn directions(deg: &[f64]) -> Resultant {
    Resultant::of_directions(deg.iter().map(|d| d.to_radians()))
}

fn axes(deg: &[f64]) -> Resultant {
    Resultant::of_axes(deg.iter().map(|d| d.to_radians()))
}

fn mean_deg(r: &Resultant) -> f64 {
    r.mean_rad().expect("not balanced").to_degrees()
}

#[test]
fn zar_example_26_4() {
    let r = directions(&[45.0, 55.0, 81.0, 96.0, 110.0, 117.0, 132.0, 154.0]);
    assert_abs_diff_eq!(mean_deg(&r), 98.988, epsilon = 0.0005 + 1e-9);
    assert_abs_diff_eq!(r.length(), 0.82522, epsilon = 0.000005 + 1e-9);
    let test = r.rayleigh();
    assert_abs_diff_eq!(test.z, 5.448, epsilon = 0.0005 + 1e-9);
    assert!(0.001 < test.p && test.p < 0.002, "p {}", test.p);
}

#[test]
fn zar_example_26_5_in_classes() {
    let counts = [
        0.0, 6.0, 9.0, 13.0, 15.0, 22.0, 17.0, 12.0, 8.0, 3.0, 0.0, 0.0,
    ];
    let r = Resultant::of_weighted_directions(
        counts
            .iter()
            .enumerate()
            .map(|(i, n)| ((15.0 + 30.0 * i as f64).to_radians(), *n)),
    );
    assert_abs_diff_eq!(mean_deg(&r), 162.0, epsilon = 0.5);
    assert_abs_diff_eq!(r.length(), 0.55064, epsilon = 0.000005 + 1e-9);
}

#[test]
fn zar_example_26_7_axial() {
    // Data of the example; the printed figures here are derived from the definition.
    let deg = [
        35.0, 40.0, 40.0, 45.0, 45.0, 55.0, 60.0, 215.0, 220.0, 225.0, 225.0, 235.0, 235.0, 240.0,
        245.0,
    ];
    let r = axes(&deg);
    assert_abs_diff_eq!(mean_deg(&r), 47.953, epsilon = 0.0005 + 1e-9);
    assert_abs_diff_eq!(r.length(), 0.94843, epsilon = 0.000005 + 1e-9);
    assert_abs_diff_eq!(
        directions(&deg).length(),
        0.07379,
        epsilon = 0.000005 + 1e-9
    );
}

#[test]
fn mardia_and_jupp_example_1_1() {
    let r = directions(&[43.0, 45.0, 52.0, 61.0, 75.0, 88.0, 88.0, 279.0, 357.0]);
    assert_abs_diff_eq!(mean_deg(&r), 51.0, epsilon = 0.5);
    assert_abs_diff_eq!(r.length(), 0.711, epsilon = 0.0005 + 1e-9);
}

#[test]
fn jammalamadaka_and_sengupta_page_23() {
    let r = directions(&[51.0, 67.0, 40.0, 109.0, 31.0, 358.0]);
    assert_abs_diff_eq!(
        r.mean_rad().expect("not balanced"),
        0.8487044,
        epsilon = 5e-8 + 1e-12
    );
    assert_abs_diff_eq!(r.variance(), 0.1635635, epsilon = 5e-8 + 1e-12);
}

#[test]
fn jammalamadaka_and_sengupta_weighted() {
    let deg = [0.0, 3.6, 36.0, 72.0, 108.0, 169.2, 324.0];
    let weights = [12.0, 1.0, 6.0, 1.0, 2.0, 1.0, 1.0];
    let r =
        Resultant::of_weighted_directions(deg.iter().map(|d: &f64| d.to_radians()).zip(weights));
    assert_abs_diff_eq!(r.length(), 0.766282, epsilon = 5e-7 + 1e-12);
}

#[test]
fn grain_of_headings_derived() {
    let rows: [(&[f64], f64); 7] = [
        (&[0.0, 90.0], 0.0),
        (&[0.0, 45.0, 90.0, 135.0], 0.0),
        (&[0.0, 60.0, 120.0], 0.0),
        (&[0.0, 30.0], 0.75_f64.sqrt()),
        (&[0.0, 0.0, 0.0, 90.0], 0.5),
        (&[45.0, 90.0, 315.0], 1.0 / 3.0),
        (&[10.0, 190.0], 1.0),
    ];
    for (deg, r2) in rows {
        assert_abs_diff_eq!(axes(deg).length(), r2, epsilon = 1e-12);
    }
    assert_abs_diff_eq!(directions(&[10.0, 190.0]).length(), 0.0, epsilon = 1e-12);
}
