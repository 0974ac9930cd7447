//! Passes that end at the edge, over the clean-up passes, cut more there and no more of the rough.

use crossgrain_core::{Ends, Heading, Mower, Pattern, Role, Settings, plan};
use crossgrain_metrics::measure;
use crossgrain_tests::grounds::field;

#[test]
fn passes_run_on_to_the_edge_and_never_over_it() {
    let (fairway, mower) = (field(140.0, 32.0), Mower::bar(2.54));
    for deg in [0.0, 30.0, 45.0, 75.0, 90.0] {
        let mut settings = Settings::new(Pattern::Stripes {
            heading: Heading::Bearing { deg },
        });
        settings.clean_up.rings = 1;
        let on_ring = plan(&fairway, &mower, &settings).unwrap();
        settings.ends = Ends::Edge;
        let at_edge = plan(&fairway, &mower, &settings).unwrap();
        let (ring, edge) = (
            measure(&fairway, &mower, &on_ring),
            measure(&fairway, &mower, &at_edge),
        );
        assert!(edge.missed_m2 <= ring.missed_m2 + 1e-6, "{deg}");
        // The clean-up passes themselves run a millimetre outside.
        assert!(edge.overrun_m2 <= ring.overrun_m2 + 1e-6, "{deg}");
        assert!(edge.mowing_m > ring.mowing_m + 20.0, "{deg}");
        let stripes = |m: &crossgrain_core::Mow| {
            let is_stripe = |l: &&crossgrain_core::PlacedLeg| matches!(l.role, Role::Stripe { .. });
            m.legs().iter().filter(is_stripe).count()
        };
        assert_eq!(stripes(&at_edge), stripes(&on_ring), "{deg}");
    }
}
