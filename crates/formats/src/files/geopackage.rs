//! GeoPackage (OGC 12-128r17): the layers of features in an SQLite file.
//!
//! The file is untrusted: it is read from memory and never written to, functions and virtual
//! tables that its own schema asks for are not run, and every query has a budget of steps.

use super::positions::System;
use super::{FileFault, Found, well_known_binary};
use crate::course::feature::{Geometry, PLACED_IN};
use crate::input::plain;
use rusqlite::config::DbConfig;
use rusqlite::limits::Limit;
use rusqlite::types::ValueRef;
use rusqlite::{Connection, Error, ErrorCode, OpenFlags};
use serde_json::{Map, Value};

/// Most layers.
const MAX_TABLES: usize = 200;
/// Steps of SQLite's machine between two looks at the budget.
const STEPS: i32 = 10_000;
/// Looks before a file is given up: a file of the largest size is read in a twentieth of that.
const MAX_LOOKS: u32 = 20_000;

fn fault(layer: Option<&str>, what: impl Into<String>) -> FileFault {
    FileFault::GeoPackage {
        layer: layer.map(str::to_string),
        what: what.into(),
    }
}

/// What SQLite says, in words of ours where the reason is the budget.
fn by_library(layer: Option<&str>) -> impl Fn(Error) -> FileFault {
    let layer = layer.map(str::to_string);
    move |e| {
        let what = if e.sqlite_error_code() == Some(ErrorCode::OperationInterrupted) {
            "it takes too long to read".to_string()
        } else {
            format!(
                "the database cannot be read ({})",
                plain(&e.to_string()).chars().take(80).collect::<String>()
            )
        };
        FileFault::GeoPackage {
            layer: layer.clone(),
            what,
        }
    }
}

/// One layer's entry.
struct Layer {
    table: String,
    identifier: String,
    column: String,
    system: i64,
}

/// Reads every layer of features.
pub(super) fn read(bytes: &[u8], called: &str, found: &mut Found) -> Result<(), FileFault> {
    let db = open(bytes).map_err(by_library(None))?;
    let tables: i64 = db
        .query_row(
            "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name IN ('gpkg_contents', 'gpkg_geometry_columns', 'gpkg_spatial_ref_sys')",
            [],
            |r| r.get(0),
        )
        .map_err(by_library(None))?;
    if tables != 3 {
        return Err(fault(None, "this is an SQLite database, but no GeoPackage"));
    }
    let layers = layers(&db).map_err(by_library(None))?;
    if layers.len() > MAX_TABLES {
        return Err(FileFault::TooMany {
            what: "layers",
            limit: MAX_TABLES,
        });
    }
    for layer in &layers {
        let system = system(&db, layer)?;
        found.tell_system(&system);
        rows(&db, layer, &system, called, found)?;
    }
    Ok(())
}

fn open(bytes: &[u8]) -> Result<Connection, Error> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut db = Connection::open_in_memory_with_flags(flags)?;
    for (option, on) in [
        (DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true),
        (DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false),
        (DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, false),
        (DbConfig::SQLITE_DBCONFIG_ENABLE_VIEW, false),
    ] {
        db.set_db_config(option, on)?;
    }
    db.set_limit(Limit::SQLITE_LIMIT_LENGTH, crate::input::MAX_BYTES as i32)?;
    db.set_limit(Limit::SQLITE_LIMIT_SQL_LENGTH, 100_000)?;
    db.set_limit(Limit::SQLITE_LIMIT_COLUMN, 500)?;
    db.set_limit(Limit::SQLITE_LIMIT_EXPR_DEPTH, 50)?;
    db.set_limit(Limit::SQLITE_LIMIT_ATTACHED, 0)?;
    let mut looks = 0;
    db.progress_handler(
        STEPS,
        Some(move || {
            looks += 1;
            looks > MAX_LOOKS
        }),
    )?;
    db.deserialize_read_exact("main", bytes, bytes.len(), true)?;
    db.pragma_update(None, "cell_size_check", true)?;
    Ok(db)
}

fn layers(db: &Connection) -> Result<Vec<Layer>, Error> {
    let mut q = db.prepare(
        "SELECT c.table_name, coalesce(c.identifier, c.table_name), g.column_name, g.srs_id
         FROM gpkg_contents c JOIN gpkg_geometry_columns g ON g.table_name = c.table_name
         WHERE c.data_type = 'features' ORDER BY c.rowid LIMIT ?1",
    )?;
    let list = q.query_map([MAX_TABLES as i64 + 1], |r| {
        Ok(Layer {
            table: r.get(0)?,
            identifier: r.get(1)?,
            column: r.get(2)?,
            system: r.get(3)?,
        })
    })?;
    list.collect()
}

fn system(db: &Connection, layer: &Layer) -> Result<System, FileFault> {
    let name = plain(&layer.table);
    let (organization, code, definition): (String, i64, String) = db
        .query_row(
            "SELECT organization, organization_coordsys_id, definition FROM gpkg_spatial_ref_sys WHERE srs_id = ?1",
            [layer.system],
            |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)),
        )
        .map_err(|_| fault(Some(&name), "its coordinate system is not defined"))?;
    if definition.trim().is_empty() || definition.trim().eq_ignore_ascii_case("undefined") {
        let known = u32::try_from(code)
            .ok()
            .filter(|_| organization.eq_ignore_ascii_case("EPSG"))
            .and_then(System::from_epsg);
        return known.ok_or_else(|| fault(Some(&name), "its coordinate system is not defined"));
    }
    Ok(System::from_wkt(&definition)?)
}

/// A name as SQL takes any name.
fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}

/// Whether the names of a table's columns are text; the library panics on those that are not.
fn names_are_text(db: &Connection, table: &str) -> Result<bool, Error> {
    let mut q = db.prepare("SELECT name FROM pragma_table_info(?1)")?;
    let mut list = q.query([table])?;
    while let Some(row) = list.next()? {
        let name = row.get_ref(0)?;
        if !name
            .as_bytes()
            .is_ok_and(|b| std::str::from_utf8(b).is_ok())
        {
            return Ok(false);
        }
    }
    Ok(true)
}

fn rows(
    db: &Connection,
    layer: &Layer,
    system: &System,
    called: &str,
    found: &mut Found,
) -> Result<(), FileFault> {
    let name = plain(&layer.identifier);
    let fail = by_library(Some(&name));
    if !names_are_text(db, &layer.table).map_err(&fail)? {
        return Err(fault(Some(&name), "the name of a column is no UTF-8 text"));
    }
    let mut q = db
        .prepare(&format!("SELECT * FROM {}", quoted(&layer.table)))
        .map_err(&fail)?;
    let columns: Vec<String> = q.column_names().map(str::to_string).collect();
    let drawn = columns
        .iter()
        .position(|c| c.eq_ignore_ascii_case(&layer.column))
        .ok_or_else(|| fault(Some(&name), "it has no column of geometries"))?;
    let mut list = q.query([]).map_err(&fail)?;
    let mut number = 0;
    while let Some(row) = list.next().map_err(&fail)? {
        number += 1;
        let at = |what: &str| fault(Some(&name), format!("row {number}: {what}"));
        let mut properties = Map::new();
        let mut geometry = Vec::new();
        for (i, column) in columns.iter().enumerate() {
            let value = row.get_ref(i).map_err(&fail)?;
            if i == drawn {
                geometry = match value {
                    ValueRef::Null => vec![],
                    ValueRef::Blob(b) => in_degrees(blob(b).map_err(at)?, system)?,
                    _ => return Err(at("its geometry is no geometry")),
                };
                continue;
            }
            let value = match value {
                ValueRef::Integer(n) => Value::from(n),
                ValueRef::Real(v) => Value::from(v),
                ValueRef::Text(t) => plain(&String::from_utf8_lossy(t)).into(),
                ValueRef::Null | ValueRef::Blob(_) => continue,
            };
            properties.insert(plain(column), value);
        }
        let mut places = vec![name.clone()];
        if called != name {
            places.push(called.to_string());
        }
        properties.insert(PLACED_IN.to_string(), places.into());
        found.push(format!("{name} row {number}"), properties, geometry)?;
    }
    Ok(())
}

/// The geometry behind the standard's own header (clause 2.1.3).
fn blob(bytes: &[u8]) -> Result<Vec<Geometry>, &'static str> {
    let &[b'G', b'P', _, flags, ..] = bytes else {
        return Err("its geometry is no geometry");
    };
    if flags & 0b0010_0000 != 0 {
        return Err("its geometry is of an extended kind");
    }
    let bounds = match flags >> 1 & 7 {
        0 => 0,
        1 => 32,
        2 | 3 => 48,
        4 => 64,
        _ => return Err("its geometry has bounds of an unknown kind"),
    };
    let body = bytes
        .get(8 + bounds..)
        .ok_or("a geometry is shorter than it says")?;
    if flags & 0b0001_0000 != 0 {
        return Ok(vec![]);
    }
    well_known_binary::read(body)
}

fn in_degrees(list: Vec<Geometry>, system: &System) -> Result<Vec<Geometry>, FileFault> {
    let line = |r: &Vec<[f64; 2]>| Found::degrees(system, r);
    list.iter()
        .map(|g| {
            Ok(match g {
                Geometry::Points(p) => Geometry::Points(line(p)?),
                Geometry::Lines(l) => {
                    Geometry::Lines(l.iter().map(line).collect::<Result<_, _>>()?)
                }
                Geometry::Polygons(p) => Geometry::Polygons(
                    p.iter()
                        .map(|rings| rings.iter().map(line).collect())
                        .collect::<Result<_, _>>()?,
                ),
            })
        })
        .collect()
}
