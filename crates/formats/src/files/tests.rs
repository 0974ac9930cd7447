//! Files of each kind, sound and hostile. What other programs write is tried in
//! `tests/scripts/exchange.py`.

use super::*;
use crate::course::feature::PLACED_IN;

fn found(bytes: &[u8]) -> Found {
    match load_bytes(bytes.to_vec(), "c", "layer", &NoCompanions) {
        Ok(Loaded::Features(f)) => f,
        Ok(Loaded::Json(_)) => panic!("taken for JSON"),
        Err(e) => panic!("{e}"),
    }
}

fn refused(bytes: &[u8]) -> String {
    match load_bytes(bytes.to_vec(), "c", "layer", &NoCompanions) {
        Ok(_) => panic!("it was read"),
        Err(e) => e.to_string(),
    }
}

const RING: &str =
    "<LinearRing><coordinates>5,45 5.002,45 5.002,45.0004 5,45.0004</coordinates></LinearRing>";

fn kml(body: &str) -> Vec<u8> {
    format!("<?xml version=\"1.0\"?><kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document>{body}</Document></kml>").into_bytes()
}

#[test]
fn kml_keeps_names_folders_and_data() {
    let f = found(&kml(&format!(
        "<Folder><name>Bunkers</name><Placemark><name>b1</name><ExtendedData><Data name=\"depth\"><value>2</value></Data></ExtendedData>\
         <MultiGeometry><Polygon><outerBoundaryIs>{RING}</outerBoundaryIs><innerBoundaryIs>{RING}</innerBoundaryIs></Polygon>\
         <Point><coordinates>5,45,12</coordinates></Point></MultiGeometry></Placemark></Folder>"
    )));
    let p = &f.features[0];
    assert_eq!(
        p.properties[PLACED_IN],
        serde_json::json!(["Bunkers", "layer"])
    );
    assert_eq!(p.properties["depth"], "2");
    assert_eq!(p.geometry.len(), 2);
    let Geometry::Polygons(list) = &p.geometry[0] else {
        panic!()
    };
    assert_eq!((list[0].len(), list[0][0].len()), (2, 5));
    assert!(p.source.path.contains("line 1"));
}

#[test]
fn gpx_tracks_that_come_back_are_areas() {
    let point = |lat: f64, lon: f64| format!("<trkpt lat=\"{lat}\" lon=\"{lon}\"/>");
    let round = [
        (45.0, 5.0),
        (45.0, 5.002),
        (45.0004, 5.002),
        (45.00001, 5.0),
    ];
    let track = |pts: &[(f64, f64)]| {
        let list: String = pts.iter().map(|p| point(p.0, p.1)).collect();
        format!("<trk><name>Fairway 7</name><trkseg>{list}</trkseg></trk>")
    };
    let text = format!(
        "<gpx version=\"1.1\">{}{}<wpt lat=\"45\" lon=\"5\"><name>way in</name></wpt></gpx>",
        track(&round),
        track(&round[..3])
    );
    let f = found(text.as_bytes());
    assert!(matches!(f.features[0].geometry[0], Geometry::Polygons(_)));
    assert!(matches!(f.features[1].geometry[0], Geometry::Lines(_)));
    assert!(matches!(f.features[2].geometry[0], Geometry::Points(_)));
    assert!(refused(b"<gpx><wpt lat=\"95\" lon=\"5\"/></gpx>").contains("lat of a point"));
}

#[test]
fn xml_is_read_within_limits() {
    let bomb = "<!DOCTYPE a [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;&a;\">]><kml>&b;</kml>";
    assert!(refused(bomb.as_bytes()).contains("DOCTYPE"));
    let deep = format!("<kml>{}", "<Folder>".repeat(100_000));
    assert!(refused(deep.as_bytes()).contains("nested deeper"));
    assert!(refused(b"<kml><Document></kml>").contains("line 1"));
    assert!(refused(b"<kml/>").contains("no areas"));
    assert!(refused(b"<html></html>").contains("web page"));
    assert!(
        refused(&kml(
            "<Placemark><Point><coordinates>five,45</coordinates></Point></Placemark>"
        ))
        .contains("'five,45'")
    );
    // UTF-16, as some programs write.
    let text =
        String::from_utf8(kml(&format!("<Placemark><name>Ñ</name>{RING}</Placemark>"))).unwrap();
    let mut wide = vec![0xff, 0xfe];
    wide.extend(text.encode_utf16().flat_map(u16::to_le_bytes));
    assert_eq!(found(&wide).features[0].properties["name"], "Ñ");
}

/// One polygon as a shapefile, clockwise as outlines are.
fn shp(points: &[[f64; 2]]) -> Vec<u8> {
    let mut content = 5_i32.to_le_bytes().to_vec();
    content.extend([0; 32]);
    content.extend(1_i32.to_le_bytes());
    content.extend((points.len() as i32).to_le_bytes());
    content.extend(0_i32.to_le_bytes());
    for p in points {
        content.extend(p[0].to_le_bytes());
        content.extend(p[1].to_le_bytes());
    }
    let mut out = 9994_i32.to_be_bytes().to_vec();
    out.extend([0; 20]);
    out.extend((((108 + content.len()) / 2) as i32).to_be_bytes());
    out.extend(1000_i32.to_le_bytes());
    out.extend(5_i32.to_le_bytes());
    out.extend([0; 64]);
    out.extend(1_i32.to_be_bytes());
    out.extend(((content.len() / 2) as i32).to_be_bytes());
    out.extend(content);
    out
}

const SQUARE: [[f64; 2]; 5] = [
    [5., 45.],
    [5., 45.001],
    [5.001, 45.001],
    [5.001, 45.],
    [5., 45.],
];

/// A table of one text field; the rows may be marked as deleted.
fn dbf(field: &str, rows: &[(&str, bool)]) -> Vec<u8> {
    let mut out = vec![3, 126, 1, 1];
    out.extend((rows.len() as u32).to_le_bytes());
    out.extend(65_u16.to_le_bytes());
    out.extend(11_u16.to_le_bytes());
    out.extend([0; 20]);
    let mut head = field.as_bytes().to_vec();
    head.resize(11, 0);
    head.push(b'C');
    head.extend([0; 4]);
    head.push(10);
    head.resize(32, 0);
    out.extend(head);
    out.push(0x0d);
    for (text, deleted) in rows {
        out.push(if *deleted { b'*' } else { b' ' });
        let mut t: Vec<u8> = text.chars().map(|c| c as u8).collect();
        t.resize(10, b' ');
        out.extend(t);
    }
    out
}

struct With(Vec<(&'static str, Vec<u8>)>);

impl Companions for With {
    fn get(&self, ending: &str) -> Result<Option<Vec<u8>>, FileError> {
        Ok(self.0.iter().find(|c| c.0 == ending).map(|c| c.1.clone()))
    }
}

fn with(bytes: &[u8], companions: Vec<(&'static str, Vec<u8>)>) -> Result<Found, String> {
    match load_bytes(bytes.to_vec(), "c.shp", "c", &With(companions)) {
        Ok(Loaded::Features(f)) => Ok(f),
        Ok(Loaded::Json(_)) => Err("JSON".into()),
        Err(e) => Err(e.to_string()),
    }
}

#[test]
fn a_shapefile_goes_with_its_table() {
    let f = with(
        &shp(&SQUARE),
        vec![("dbf", dbf("NAME", &[("caf\u{e9}", true)]))],
    )
    .unwrap();
    // A deleted row still belongs to its shape, and old tables are not UTF-8.
    assert_eq!(f.features[0].properties["NAME"], "café");
    assert!(f.notes[0].contains("no .prj"), "{:?}", f.notes);
    let f = with(&shp(&SQUARE), vec![]).unwrap();
    assert!(f.notes.iter().any(|n| n.contains("no .dbf")));
}

#[test]
fn lying_lengths_are_refused() {
    let sound = shp(&SQUARE);
    let patched = |at: usize, bytes: &[u8]| {
        let mut s = sound.clone();
        s[at..at + bytes.len()].copy_from_slice(bytes);
        with(&s, vec![]).unwrap_err()
    };
    let huge = i32::MAX.to_be_bytes();
    let huge_le = i32::MAX.to_le_bytes();
    assert!(patched(24, &huge).contains("another length"));
    assert!(patched(24, &(-1_i32).to_be_bytes()).contains("impossible"));
    assert!(patched(104, &huge).contains("record 1: it is longer"));
    assert!(patched(104, &[0; 4]).contains("impossible length"));
    assert!(patched(144, &huge_le).contains("shorter than its shape"));
    assert!(patched(148, &huge_le).contains("shorter than its shape"));
    assert!(patched(152, &huge_le).contains("out of order"));
    assert!(patched(108, &99_i32.to_le_bytes()).contains("does not know"));
    assert!(
        with(&sound[..120], vec![])
            .unwrap_err()
            .contains("another length")
    );
    let mut table = dbf("NAME", &[("x", false)]);
    table[4] = 200;
    assert!(
        with(&sound, vec![("dbf", table)])
            .unwrap_err()
            .contains("shorter than it says")
    );
    let metres = SQUARE.map(|p| [p[0] * 1e5, p[1] * 1e5]);
    assert!(with(&shp(&metres), vec![]).unwrap_err().contains(".prj"));
    let prj = b"GEOGCS[\"x\",DATUM[\"D_North_American_1927\"]]".to_vec();
    assert!(
        with(&sound, vec![("prj", prj)])
            .unwrap_err()
            .contains("1927")
    );
}

/// A zip archive, stored or deflated.
fn zip(files: &[(&str, &[u8])], deflate: bool) -> Vec<u8> {
    let mut out = Vec::new();
    let mut list = Vec::new();
    for (name, content) in files {
        let packed = if deflate {
            miniz_oxide::deflate::compress_to_vec(content, 6)
        } else {
            content.to_vec()
        };
        let mut head = Vec::new();
        head.extend(20_u16.to_le_bytes());
        head.extend(0_u16.to_le_bytes());
        head.extend((if deflate { 8_u16 } else { 0 }).to_le_bytes());
        head.extend([0; 4]);
        head.extend(rawzip::crc32(content).to_le_bytes());
        head.extend((packed.len() as u32).to_le_bytes());
        head.extend((content.len() as u32).to_le_bytes());
        head.extend((name.len() as u16).to_le_bytes());
        head.extend(0_u16.to_le_bytes());
        let at = out.len() as u32;
        out.extend(b"PK\x03\x04");
        out.extend(&head);
        out.extend(name.as_bytes());
        out.extend(packed);
        list.extend(b"PK\x01\x02\x14\x00");
        list.extend(&head);
        list.extend([0; 10]);
        list.extend(at.to_le_bytes());
        list.extend(name.as_bytes());
    }
    let at = out.len() as u32;
    let size = list.len() as u32;
    out.extend(list);
    out.extend(b"PK\x05\x06\0\0\0\0");
    out.extend((files.len() as u16).to_le_bytes());
    out.extend((files.len() as u16).to_le_bytes());
    out.extend(size.to_le_bytes());
    out.extend(at.to_le_bytes());
    out.extend(0_u16.to_le_bytes());
    out
}

#[test]
fn archives_hold_a_document_or_layers() {
    let doc = kml(&format!("<Placemark><name>a</name>{RING}</Placemark>"));
    for deflate in [false, true] {
        let f = found(&zip(
            &[("doc.kml", &doc), ("files/more.kml", b"<kml")],
            deflate,
        ));
        assert_eq!(f.features.len(), 1);
        assert_eq!(
            f.features[0].properties[PLACED_IN],
            serde_json::json!(["layer"])
        );
    }
    let layers = zip(
        &[
            ("x/bunkers.shp", &shp(&SQUARE)),
            ("x/bunkers.dbf", &dbf("ID", &[("9", false)])),
            ("__MACOSX/x/._bunkers.shp", b"rubbish"),
            ("x/tees.kml", &doc),
            (
                "x/greens.geojson",
                br#"{"type":"Point","coordinates":[5,45]}"#,
            ),
        ],
        true,
    );
    let f = found(&layers);
    let places: Vec<_> = f
        .features
        .iter()
        .map(|f| f.properties[PLACED_IN][0].clone())
        .collect();
    assert_eq!(places, ["bunkers", "greens", "tees"]);
    assert_eq!(f.features[0].properties["ID"], "9");
    assert!(f.features[0].source.path.contains("x/bunkers.shp record 1"));
}

#[test]
fn hostile_archives_are_refused() {
    let zeros = vec![b' '; crate::input::MAX_BYTES + 1];
    assert!(refused(&zip(&[("doc.kml", &zeros)], true)).contains("more than 64 MB"));
    let doc = kml("");
    let mut damaged = zip(&[("doc.kml", &doc)], false);
    damaged[60] ^= 1;
    assert!(refused(&damaged).contains("damaged"));
    assert!(refused(b"PK\x03\x04 and nothing else").contains("no list"));
    assert!(refused(&zip(&[("a.txt", b"x")], false)).contains("no file in it"));
    assert!(refused(&zip(&[("doc.kml", &doc), ("doc.kml", &doc)], false)).contains("one name"));
    let many: Vec<(String, Vec<u8>)> = (0..=MAX_ENTRIES).map(|i| (i.to_string(), vec![])).collect();
    let many: Vec<(&str, &[u8])> = many
        .iter()
        .map(|m| (m.0.as_str(), m.1.as_slice()))
        .collect();
    assert!(refused(&zip(&many, false)).contains("more than 2000 files"));
}

#[test]
fn other_kinds_are_named() {
    for (bytes, what) in [
        (&b"%PDF-1.7"[..], "PDF"),
        (b"AC1032\0\0", "DWG"),
        (b"\x89PNG\r\n", "picture"),
        (b"\x1f\x8b\x08", "gzip"),
    ] {
        assert!(refused(bytes).contains(what));
    }
}

#[cfg(feature = "geopackage")]
mod geopackages {
    use super::*;
    use rusqlite::Connection;

    const TABLES: &str = "CREATE TABLE gpkg_spatial_ref_sys (srs_name, srs_id, organization, organization_coordsys_id, definition, description);
        CREATE TABLE gpkg_contents (table_name, data_type, identifier, srs_id);
        CREATE TABLE gpkg_geometry_columns (table_name, column_name, geometry_type_name, srs_id);
        INSERT INTO gpkg_spatial_ref_sys VALUES ('', 4326, 'EPSG', 4326, 'undefined', '');";

    fn package(sql: &str) -> Vec<u8> {
        let mut db = Connection::open_in_memory().unwrap();
        db.execute_batch(sql).unwrap();
        db.serialize("main").unwrap().to_vec()
    }

    /// A layer of a name with one point, with SQL to make its table.
    fn layer(make: &str) -> String {
        format!(
            "{TABLES} INSERT INTO gpkg_contents VALUES ('a \"b', 'features', 'Bunkers', 4326);
            INSERT INTO gpkg_geometry_columns VALUES ('a \"b', 'geom', 'POINT', 4326); {make}"
        )
    }

    const POINT: &str = "x'47500001E6100000010100000000000000000014400000000000804640'";

    #[test]
    fn layers_and_columns_are_read() {
        let f = found(&package(&layer(&format!(
            "CREATE TABLE \"a \"\"b\" (fid, geom, note TEXT); INSERT INTO \"a \"\"b\" VALUES (3, {POINT}, 'deep');"
        ))));
        assert_eq!(
            f.features[0].geometry,
            [Geometry::Points(vec![[5.0, 45.0]])]
        );
        assert_eq!(f.features[0].properties["note"], "deep");
        assert_eq!(f.features[0].properties[PLACED_IN][0], "Bunkers");
    }

    #[test]
    fn databases_of_other_kinds_and_traps_are_refused() {
        assert!(refused(&package("CREATE TABLE notes (a)")).contains("no GeoPackage"));
        // A view in the place of a table, with a query that never ends.
        let trap = layer(
            "CREATE VIEW \"a \"\"b\" AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i AS geom FROM n;",
        );
        assert!(refused(&package(&trap)).contains("layer 'Bunkers'"));
        let text = refused(&package(&layer(
            "CREATE TABLE \"a \"\"b\" (geom); INSERT INTO \"a \"\"b\" VALUES (x'00');",
        )));
        assert!(text.contains("row 1: its geometry"), "{text}");
        let mut cut = package(&layer(&format!(
            "CREATE TABLE \"a \"\"b\" (geom); INSERT INTO \"a \"\"b\" VALUES ({POINT});"
        )));
        cut.truncate(3000);
        assert!(refused(&cut).contains("cannot be read"));
        let elsewhere = layer("CREATE TABLE \"a \"\"b\" (geom);")
            .replace("4326, 'undefined'", "27700, 'undefined'");
        assert!(refused(&package(&elsewhere)).contains("not defined"));
    }
}
