//! Definitions understood and refused. Positions are checked against PROJ in
//! `tests/tests/coordinate_systems.rs`.

use super::*;

fn projcs(datum: &str, method: &str, tail: &str) -> String {
    format!(
        "PROJCS[\"a map\",GEOGCS[\"base\",DATUM[\"{datum}\",SPHEROID[\"GRS_1980\",6378137.0,298.257222101]],PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0.0174532925199433]],PROJECTION[\"{method}\"],PARAMETER[\"False_Easting\",500000.0],PARAMETER[\"False_Northing\",0.0],PARAMETER[\"Central_Meridian\",9.0],PARAMETER[\"Scale_Factor\",0.9996],PARAMETER[\"Latitude_Of_Origin\",0.0],UNIT[\"Meter\",1.0]{tail}]"
    )
}

fn refused(text: &str) -> String {
    System::from_wkt(text).unwrap_err().to_string()
}

#[test]
fn datums_are_known_however_they_are_spelled() {
    for (name, datum) in [
        ("D_WGS_1984", Datum::Wgs84),
        ("World Geodetic System 1984 ensemble", Datum::Wgs84),
        ("World Geodetic System 1984 (G2139)", Datum::Wgs84),
        ("D_North_American_1983", Datum::Nad83),
        ("D_North_American_1983_HARN", Datum::Nad83),
        (
            "NAD83 (National Spatial Reference System 2011)",
            Datum::Nad83,
        ),
        ("NAD83_Canadian_Spatial_Reference_System", Datum::Nad83),
        ("European_Terrestrial_Reference_System_1989", Datum::Etrs89),
        ("D_GDA_1994", Datum::Gda94),
        ("GDA2020", Datum::Gda2020),
        ("New Zealand Geodetic Datum 2000", Datum::Nzgd2000),
    ] {
        assert_eq!(Datum::named(name), Some(datum), "{name}");
    }
    for name in [
        "D_North_American_1927",
        "North American Datum 1927",
        "New_Zealand_Geodetic_Datum_1949",
        "NZGD49",
        "WGS_1972",
        "OSGB_1936",
        "WGS84x",
    ] {
        assert_eq!(Datum::named(name), None, "{name}");
    }
}

#[test]
fn what_is_not_understood_is_named() {
    let text = refused(&projcs("D_North_American_1927", "Transverse_Mercator", ""));
    assert!(
        text.contains("D_North_American_1927") && text.contains("EPSG:4326"),
        "{text}"
    );
    let text = refused(&projcs("D_WGS_1984", "Cassini", ""));
    assert!(text.contains("'Cassini'"), "{text}");
    let south = ",AXIS[\"X\",SOUTH],AXIS[\"Y\",WEST]";
    assert!(refused(&projcs("D_WGS_1984", "Transverse_Mercator", south)).contains("axes"));
    let ours = ",EXTENSION[\"PROJ4\",\"+proj=tmerc +nadgrids=/etc/passwd\"]";
    assert!(refused(&projcs("D_WGS_1984", "Transverse_Mercator", ours)).contains("overridden"));
    let round = projcs("D_WGS_1984", "Transverse_Mercator", "").replace("298.257222101", "0");
    assert!(refused(&round).contains("ellipsoid"));
    let paris =
        projcs("D_WGS_1984", "Transverse_Mercator", "").replace("Greenwich\",0.0", "Paris\",2.33");
    assert!(refused(&paris).contains("Greenwich"));
    assert!(refused("LOCAL_CS[\"site\",UNIT[\"Meter\",1]]").contains("no place on Earth"));
}

#[test]
fn texts_that_are_no_definitions_are_refused() {
    for text in [
        "",
        "GEOGCS",
        "GEOGCS[\"a",
        "[[[[",
        "GEOGCS]",
        "\"a\"",
        "GEOGCS[\"a\"] x",
        "VERT_CS[\"a\"]",
    ] {
        assert!(System::from_wkt(text).is_err(), "{text}");
    }
    assert!(refused(&"A[".repeat(1000)).contains("brackets"));
    assert!(refused(&" ".repeat(10).replace(' ', &"A[\"b\"],".repeat(1000))).contains("too long"));
}

#[cfg(feature = "systems")]
#[test]
fn a_transverse_mercator_is_read_on_its_meridian() {
    let s = System::from_wkt(&projcs("D_ETRS_1989", "Transverse_Mercator", "")).unwrap();
    let [lon, lat] = s.to_degrees([500_000.0, 0.0]).unwrap();
    assert!((lon - 9.0).abs() < 1e-12 && lat.abs() < 1e-12);
    assert!(s.note().unwrap().contains("ETRS89"));
    for at in [[f64::NAN, 0.0], [f64::INFINITY, 1.0], [1e300, 1e300]] {
        assert!(s.to_degrees(at).is_err(), "{at:?}");
    }
    let zone = System::from_epsg(32632).unwrap();
    assert_eq!(zone.to_degrees([500_000.0, 0.0]).unwrap()[0], 9.0);
}

#[cfg(not(feature = "systems"))]
#[test]
fn a_light_build_says_what_it_lacks() {
    let text = refused(&projcs("D_ETRS_1989", "Transverse_Mercator", ""));
    assert!(text.contains("--features all-formats"), "{text}");
}

#[test]
fn web_mercator_is_known_in_every_dialect() {
    let s = System::from_epsg(3857).unwrap();
    let [lon, lat] = s.to_degrees([SPHERE_M, 0.0]).unwrap();
    assert!((lon - 1f64.to_degrees()).abs() < 1e-12 && lat == 0.0);
    assert!(System::from_epsg(1).is_none());
    assert_eq!(System::wgs84().note(), None);
    assert!(System::wgs84().to_degrees([181.0, 0.0]).is_err());
}
