//! GeoPackage 1.3 (OGC 12-128r17): layers of fairways, keep-outs, passes and ways, in degrees.

use super::{Drives, Export, ExportError, Layer, Options};
use geo::Area;
use geo_types::{LineString, Polygon};
use rusqlite::types::Value;
use rusqlite::{Connection, Transaction, params};

/// `GPKG` in ASCII, the application's number in the file's header.
const APPLICATION_ID: i32 = 0x4750_4B47;
/// Version 1.3.0, as the standard writes it.
const USER_VERSION: i32 = 10_300;
/// WGS 84 longitude and latitude.
const SYSTEM: i32 = 4326;
/// The tables that every GeoPackage has (clauses 1.1.2, 1.1.3 and 2.1.5, table definitions).
const TABLES: &str = "
CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT NOT NULL, srs_id INTEGER NOT NULL PRIMARY KEY,
  organization TEXT NOT NULL, organization_coordsys_id INTEGER NOT NULL,
  definition TEXT NOT NULL, description TEXT);
CREATE TABLE gpkg_contents (table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL,
  identifier TEXT UNIQUE, description TEXT DEFAULT '', last_change DATETIME NOT NULL,
  min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_geometry_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL,
  geometry_type_name TEXT NOT NULL, srs_id INTEGER NOT NULL, z TINYINT NOT NULL,
  m TINYINT NOT NULL, CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id));
";
/// The definition of WGS 84 that the standard's own example carries.
const WGS_84: &str = "GEOGCS[\"WGS 84\",DATUM[\"WGS_1984\",SPHEROID[\"WGS 84\",6378137,298.257223563,AUTHORITY[\"EPSG\",\"7030\"]],AUTHORITY[\"EPSG\",\"6326\"]],PRIMEM[\"Greenwich\",0,AUTHORITY[\"EPSG\",\"8901\"]],UNIT[\"degree\",0.0174532925199433,AUTHORITY[\"EPSG\",\"9122\"]],AUTHORITY[\"EPSG\",\"4326\"]]";

/// The columns of each layer beside its key and its geometry.
const AREA_COLUMNS: &str = "fairway TEXT, kind TEXT, area_m2 DOUBLE";
const LINE_COLUMNS: &str = "fairway TEXT, pattern TEXT, heading_deg DOUBLE, number INTEGER, role TEXT, step TEXT, line INTEGER, length_m DOUBLE, seconds DOUBLE";

/// Writes the drives.
pub(super) fn write(drives: &Drives, options: &Options) -> Result<Export, ExportError> {
    build(drives, options).map_err(|e| match e {
        Failed::Export(e) => e,
        Failed::Library(e) => ExportError::Library {
            reason: e.to_string(),
        },
    })
}

enum Failed {
    Export(ExportError),
    Library(rusqlite::Error),
}

impl From<ExportError> for Failed {
    fn from(e: ExportError) -> Self {
        Failed::Export(e)
    }
}

impl From<rusqlite::Error> for Failed {
    fn from(e: rusqlite::Error) -> Self {
        Failed::Library(e)
    }
}

fn build(drives: &Drives, options: &Options) -> Result<Export, Failed> {
    let mut db = Connection::open_in_memory()?;
    db.pragma_update(None, "application_id", APPLICATION_ID)?;
    db.pragma_update(None, "user_version", USER_VERSION)?;
    let t = db.transaction()?;
    t.execute_batch(TABLES)?;
    systems(&t)?;
    // The same file for the same plan: the time is the one that the mows start at.
    let changed = options.start.strftime("%Y-%m-%dT%H:%M:%S.000Z").to_string();

    let Rows {
        fairways,
        keep_outs,
        passes,
        ways,
    } = rows(drives, options.tolerance_m)?;
    let counts = (fairways.len(), keep_outs.len());
    for (table, identifier, geometry, columns, rows) in [
        (
            "fairways",
            "fairways",
            "MULTIPOLYGON",
            AREA_COLUMNS,
            fairways,
        ),
        (
            "keep_outs",
            "keep-outs",
            "MULTIPOLYGON",
            AREA_COLUMNS,
            keep_outs,
        ),
        ("passes", "passes", "LINESTRING", LINE_COLUMNS, passes),
        ("ways", "ways", "LINESTRING", LINE_COLUMNS, ways),
    ] {
        layer(&t, table, identifier, geometry, columns, &changed, rows)?;
    }
    t.commit()?;
    let bytes = db.serialize("main")?.to_vec();
    let lines = drives.layers(options.tolerance_m);
    let areas = |name, count| Layer {
        name,
        count,
        length_m: 0.0,
    };
    Ok(Export {
        bytes,
        layers: vec![
            areas("fairways", counts.0),
            areas("keep-outs", counts.1),
            lines[0],
            lines[1],
        ],
        notes: vec![],
    })
}

/// The coordinate systems that every such file has.
fn systems(t: &Transaction<'_>) -> Result<(), rusqlite::Error> {
    for (name, id, organization, definition, description) in [
        (
            "Undefined Cartesian SRS",
            -1,
            "NONE",
            "undefined",
            "undefined Cartesian coordinate reference system",
        ),
        (
            "Undefined geographic SRS",
            0,
            "NONE",
            "undefined",
            "undefined geographic coordinate reference system",
        ),
        (
            "WGS 84 geodetic",
            SYSTEM,
            "EPSG",
            WGS_84,
            "longitude and latitude, WGS 84",
        ),
    ] {
        t.execute(
            "INSERT INTO gpkg_spatial_ref_sys VALUES (?1, ?2, ?3, ?2, ?4, ?5)",
            params![name, id, organization, definition, description],
        )?;
    }
    Ok(())
}

/// A row: what it draws, and its values.
type Row = (RowGeometry, Vec<Value>);

/// The rows of each layer.
#[derive(Default)]
struct Rows {
    fairways: Vec<Row>,
    keep_outs: Vec<Row>,
    passes: Vec<Row>,
    ways: Vec<Row>,
}

fn rows(drives: &Drives, tolerance_m: f64) -> Result<Rows, ExportError> {
    let mut out = Rows::default();
    for mow in &drives.mows {
        let polygon = |p: &Polygon<f64>| -> Result<Vec<Vec<[f64; 2]>>, ExportError> {
            std::iter::once(p.exterior())
                .chain(p.interiors())
                .map(|r: &LineString<f64>| drives.degrees(mow, &r.0))
                .collect()
        };
        let area = |kind: &str, m2: f64| {
            vec![
                Value::Text(mow.fairway.clone()),
                Value::Text(kind.to_string()),
                Value::Real(m2),
            ]
        };
        let ground: Vec<_> = mow.ground.0.iter().map(polygon).collect::<Result<_, _>>()?;
        out.fairways.push((
            RowGeometry::Areas(ground),
            area("fairway", mow.ground.unsigned_area()),
        ));
        for k in &mow.keep_outs {
            out.keep_outs.push((
                RowGeometry::Areas(vec![polygon(&k.area)?]),
                area(
                    k.kind.as_deref().unwrap_or("keep-out"),
                    k.area.unsigned_area(),
                ),
            ));
        }
        for run in &mow.runs {
            let points = run.points(tolerance_m);
            let text = |t: &Option<String>| t.clone().map_or(Value::Null, Value::Text);
            let whole = |n: u64| i64::try_from(n).map_or(Value::Null, Value::Integer);
            let row = (
                RowGeometry::Line(drives.degrees(mow, &points)?),
                vec![
                    Value::Text(mow.fairway.clone()),
                    Value::Text(mow.pattern.clone()),
                    mow.heading_deg.map_or(Value::Null, Value::Real),
                    whole(run.number as u64),
                    text(&run.role),
                    text(&run.step),
                    run.line.map_or(Value::Null, whole),
                    Value::Real(super::drive::length_m(&points)),
                    Value::Real(run.seconds),
                ],
            );
            if run.is_pass() {
                &mut out.passes
            } else {
                &mut out.ways
            }
            .push(row);
        }
    }
    Ok(out)
}

/// What a row draws, degrees.
enum RowGeometry {
    Areas(Vec<Vec<Vec<[f64; 2]>>>),
    Line(Vec<[f64; 2]>),
}

fn layer(
    t: &Transaction<'_>,
    table: &str,
    identifier: &str,
    geometry: &str,
    columns: &str,
    changed: &str,
    rows: Vec<(RowGeometry, Vec<Value>)>,
) -> Result<(), Failed> {
    t.execute_batch(&format!(
        "CREATE TABLE {table} (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom {geometry}, {columns});"
    ))?;
    let mut bounds = Bounds::default();
    let slots: Vec<String> = (1..=columns.split(',').count() + 1)
        .map(|i| format!("?{i}"))
        .collect();
    let mut insert = t.prepare(&format!(
        "INSERT INTO {table} VALUES (NULL, {})",
        slots.join(", ")
    ))?;
    for (shape, values) in rows {
        let (blob, b) = geometry_blob(&shape);
        bounds.add(&b);
        let row = std::iter::once(Value::Blob(blob)).chain(values);
        insert.execute(rusqlite::params_from_iter(row))?;
    }
    let edge = |v: f64| if v.is_finite() { Some(v) } else { None };
    t.execute(
        "INSERT INTO gpkg_contents VALUES (?1, 'features', ?2, '', ?3, ?4, ?5, ?6, ?7, ?8)",
        params![
            table,
            identifier,
            changed,
            edge(bounds.0[0]),
            edge(bounds.0[1]),
            edge(bounds.0[2]),
            edge(bounds.0[3]),
            SYSTEM
        ],
    )?;
    t.execute(
        "INSERT INTO gpkg_geometry_columns VALUES (?1, 'geom', ?2, ?3, 0, 0)",
        params![table, geometry, SYSTEM],
    )?;
    Ok(())
}

/// West, south, east, north.
struct Bounds([f64; 4]);

impl Default for Bounds {
    fn default() -> Self {
        let far = f64::INFINITY;
        Self([far, far, -far, -far])
    }
}

impl Bounds {
    fn position(&mut self, [x, y]: [f64; 2]) {
        let [w, s, e, n] = self.0;
        self.0 = [w.min(x), s.min(y), e.max(x), n.max(y)];
    }

    fn add(&mut self, other: &Bounds) {
        self.position([other.0[0], other.0[1]]);
        self.position([other.0[2], other.0[3]]);
    }
}

/// The standard's geometry: a header with bounds, then well-known binary (ISO 13249-3), both
/// little-endian.
fn geometry_blob(shape: &RowGeometry) -> (Vec<u8>, Bounds) {
    let mut bounds = Bounds::default();
    let mut wkb = Vec::new();
    let whole = |out: &mut Vec<u8>, n: usize| {
        // No layer comes near four thousand million positions.
        out.extend(u32::try_from(n).unwrap_or(u32::MAX).to_le_bytes());
    };
    let mut positions = |out: &mut Vec<u8>, list: &[[f64; 2]]| {
        whole(out, list.len());
        for p in list {
            bounds.position(*p);
            out.extend(p[0].to_le_bytes());
            out.extend(p[1].to_le_bytes());
        }
    };
    match shape {
        RowGeometry::Line(line) => {
            wkb.push(1);
            wkb.extend(2_u32.to_le_bytes());
            positions(&mut wkb, line);
        }
        RowGeometry::Areas(list) => {
            wkb.push(1);
            wkb.extend(6_u32.to_le_bytes());
            whole(&mut wkb, list.len());
            for rings in list {
                wkb.push(1);
                wkb.extend(3_u32.to_le_bytes());
                whole(&mut wkb, rings.len());
                for r in rings {
                    positions(&mut wkb, r);
                }
            }
        }
    }
    // Magic, version 0, flags: little-endian with bounds; or empty and without.
    let empty = !bounds.0[0].is_finite();
    let mut blob = b"GP\0".to_vec();
    blob.push(if empty { 0b0001_0001 } else { 0b0000_0011 });
    blob.extend(SYSTEM.to_le_bytes());
    if !empty {
        let [w, s, e, n] = bounds.0;
        for v in [w, e, s, n] {
            blob.extend(v.to_le_bytes());
        }
    }
    blob.extend(wkb);
    (blob, bounds)
}
