//! The examples run, and say what they are meant to.

#[cfg(feature = "lonlat")]
#[allow(dead_code)] // Its main prints what is looked at here.
#[path = "../examples/geojson.rs"]
mod geojson;

#[path = "../examples/loops.rs"]
mod loops;
#[path = "../examples/stripes.rs"]
mod stripes;

#[test]
fn stripes_are_planned() {
    stripes::main().unwrap();
}

#[test]
fn loops_are_planned() {
    loops::main().unwrap();
}

#[cfg(feature = "lonlat")]
#[test]
fn passes_come_out_as_geojson_on_the_fairway() {
    let text = geojson::passes().unwrap();
    let value: serde_json::Value = serde_json::from_str(&text).unwrap();
    let features = value["features"].as_array().unwrap();
    let down = features
        .iter()
        .filter(|f| f["properties"]["reels"] == "down");
    let positions: Vec<(f64, f64)> = down
        .flat_map(|f| f["geometry"]["coordinates"].as_array().unwrap())
        .map(|p| (p[0].as_f64().unwrap(), p[1].as_f64().unwrap()))
        .collect();
    assert!(positions.len() > 40, "{}", positions.len());
    for (lon, lat) in positions {
        assert!((-103.1003..-103.0978).contains(&lon), "{lon}");
        assert!((44.9999..45.0006).contains(&lat), "{lat}");
    }
}
