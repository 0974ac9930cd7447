//! The loop lattices of a bar deck against an independent brute-force search
//! (tests/scripts/loop_lattice.py, results stored in tests/stored/loop_lattice.json).

use crossgrain_tests::lattices::lattice_cases;
use crossgrain_tests::stored;

#[test]
fn answers_are_gap_free_and_within_two_percent_of_brute_force() {
    let rows = stored::json("loop_lattice.json");
    let rows = rows.as_array().expect("a list");
    let cases = lattice_cases();
    assert_eq!(rows.len(), cases.len());
    assert!(rows.len() >= 15);
    for (row, (width_m, diameter_m, answer)) in rows.iter().zip(cases) {
        let number = |key: &str| row[key].as_f64().expect("a number");
        // The stored check is about this very answer.
        assert!((number("width_m") - width_m).abs() < 1e-9);
        assert!((number("diameter_m") - diameter_m).abs() < 1e-9);
        assert!((number("advance_m") - answer.shape.advance_m).abs() < 1e-9);
        assert!((number("lane_spacing_m") - answer.lane_spacing_m).abs() < 1e-9);
        assert_eq!(row["uncut_points"].as_u64(), Some(0), "{row}");
        assert!(number("points") > 1e5);
        let brute = row["brute_force"]["mean_cuts"].as_f64().expect("a number");
        assert!(
            answer.mean_cuts <= 1.02 * brute,
            "{width_m} m at {diameter_m} m: {} against {brute}",
            answer.mean_cuts
        );
    }
}
