//! Map coordinate systems: from a definition in well-known text to longitude and latitude.
//!
//! Understood are ESRI's and OGC's first dialect of well-known text (WKT 1) and the second
//! (ISO 19162, WKT 2): degrees, transverse Mercator and UTM, Lambert conformal conic, Albers,
//! oblique Mercator and web Mercator, in metres, international and US survey feet, on the datums
//! of [`Datum`]. Anything else is refused by name.
//!
//! Positions on another of these datums are taken as if they were WGS 84: the datums have the
//! same ellipsoid to a tenth of a millimetre and lie up to 2 m from one another, everywhere the
//! same way on one course. Shapes and areas do not change; where a receiver's positions are laid
//! over them they are off by that much, and [`System::note`] says so.
//!
//! The formulas come from `proj4rs`, a port of PROJ; `tests/scripts/ref_systems.py` checks them
//! against PROJ itself.

mod datum;
mod fault;
mod wkt;

pub use datum::Datum;
pub use fault::SystemError;

use wkt::Node;

/// Longest definition, bytes; real ones have one or two thousand.
pub const MAX_DEFINITION_BYTES: usize = 20_000;
/// Radius of web Mercator's sphere, metres: the WGS 84 semi-major axis (EPSG method 1024).
const SPHERE_M: f64 = 6_378_137.0;
/// Inverse flattenings of GRS 80 and of WGS 84 (EPSG ellipsoids 7019 and 7030).
const FLATTENINGS: [f64; 2] = [298.257_222_101, 298.257_223_563];

/// A coordinate system that positions can be read in. x east or longitude, y north or latitude.
#[derive(Debug)]
pub struct System {
    name: String,
    datum: Datum,
    kind: Kind,
}

#[derive(Debug)]
enum Kind {
    Degrees,
    /// Spherical formulas on geodetic latitudes; units of the map in metres.
    WebMercator,
    #[cfg(feature = "systems")]
    Projected(Box<(proj4rs::Proj, proj4rs::Proj)>),
}

impl System {
    /// Longitude and latitude on WGS 84.
    pub fn wgs84() -> Self {
        Self {
            name: "WGS 84".to_string(),
            datum: Datum::Wgs84,
            kind: Kind::Degrees,
        }
    }

    /// The system that a definition in well-known text describes.
    ///
    /// # Errors
    /// [`SystemError`] with the name of what is not understood, and what to do.
    ///
    /// ```
    /// use crossgrain_formats::systems::System;
    /// let degrees = System::from_wkt(r#"GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",
    ///   SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],
    ///   UNIT["Degree",0.0174532925199433]]"#).unwrap();
    /// assert_eq!(degrees.to_degrees([5.0, 45.0]).unwrap(), [5.0, 45.0]);
    /// ```
    pub fn from_wkt(text: &str) -> Result<Self, SystemError> {
        let text = text.trim_start_matches('\u{feff}').trim();
        if text.len() > MAX_DEFINITION_BYTES {
            return Err(SystemError::NotWkt {
                reason: "it is too long",
            });
        }
        let root = wkt::parse(text)?;
        let node = horizontal(&root)?;
        let system = node.name();
        let unusual = |what| SystemError::Unusual {
            system: node.name(),
            what,
        };
        let datum_node = node
            .find(&["DATUM", "GEODETICDATUM", "TRF", "ENSEMBLE"])
            .ok_or_else(|| unusual("which names no datum"))?;
        let datum = Datum::named(&datum_node.name()).ok_or_else(|| SystemError::Datum {
            system: node.name(),
            datum: datum_node.name(),
        })?;
        let ellipsoid = node
            .find(&["SPHEROID", "ELLIPSOID"])
            .map(Node::numbers)
            .unwrap_or_default();
        let known = matches!(ellipsoid.as_slice(), [a, rf, ..]
            if (a - SPHERE_M).abs() < 1e-3 && FLATTENINGS.iter().any(|f| (rf - f).abs() < 1e-6));
        if !known {
            return Err(unusual("whose ellipsoid is not that of its datum"));
        }
        if let Some(p) = node.find(&["PRIMEM", "PRIMEMERIDIAN"])
            && p.numbers().first().is_some_and(|v| *v != 0.0)
        {
            return Err(unusual("whose longitudes do not count from Greenwich"));
        }
        if node.any(&|n| n.is("AXIS") && (n.has_word("SOUTH") || n.has_word("WEST"))) {
            return Err(unusual("whose axes do not point east and north"));
        }
        let kind = if node.is_any(wkt::PROJECTED) {
            projected(text, node)?
        } else {
            let units: Vec<f64> = node
                .all(&["UNIT", "ANGLEUNIT"])
                .iter()
                .filter_map(|u| u.numbers().first().copied())
                .collect();
            // 3D systems have metres upward as well.
            let degrees = units.iter().any(|u| (u - 1f64.to_radians()).abs() < 1e-9);
            let other = units
                .iter()
                .any(|u| (u - 1f64.to_radians()).abs() >= 1e-9 && *u != 1.0);
            if !degrees || other {
                return Err(unusual("whose unit is not the degree"));
            }
            Kind::Degrees
        };
        Ok(Self {
            name: system,
            datum,
            kind,
        })
    }

    /// The system of an EPSG code, for files that name one without defining it: the geographic
    /// systems of the known datums, web Mercator, and UTM on WGS 84, NAD83 and ETRS89.
    pub fn from_epsg(code: u32) -> Option<Self> {
        let (datum, zone, south) = match code {
            4326 => (Datum::Wgs84, None, false),
            4269 | 6318 => (Datum::Nad83, None, false),
            4258 => (Datum::Etrs89, None, false),
            4283 => (Datum::Gda94, None, false),
            7844 => (Datum::Gda2020, None, false),
            4167 => (Datum::Nzgd2000, None, false),
            3857 => {
                return Some(Self {
                    name: "EPSG:3857".to_string(),
                    datum: Datum::Wgs84,
                    kind: Kind::WebMercator,
                });
            }
            32601..=32660 => (Datum::Wgs84, Some(code - 32600), false),
            32701..=32760 => (Datum::Wgs84, Some(code - 32700), true),
            26901..=26923 => (Datum::Nad83, Some(code - 26900), false),
            25828..=25838 => (Datum::Etrs89, Some(code - 25800), false),
            _ => return None,
        };
        let kind = match zone {
            None => Kind::Degrees,
            Some(zone) => utm(zone, south)?,
        };
        Some(Self {
            name: format!("EPSG:{code}"),
            datum,
            kind,
        })
    }

    /// What the file calls it.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its datum.
    pub fn datum(&self) -> Datum {
        self.datum
    }

    /// What the user should know of a datum that is not quite WGS 84.
    pub fn note(&self) -> Option<String> {
        (self.datum != Datum::Wgs84).then(|| {
            format!(
                "the coordinates are on {}, used as they are: a receiver on WGS 84 differs from them by up to 2 m, everywhere the same way; shapes and areas are right",
                self.datum.word()
            )
        })
    }

    /// Longitude and latitude, degrees, of a position as the file has it.
    ///
    /// # Errors
    /// [`SystemError::Position`].
    pub fn to_degrees(&self, at: [f64; 2]) -> Result<[f64; 2], SystemError> {
        let out = match &self.kind {
            Kind::Degrees => Some(at),
            Kind::WebMercator => {
                let [x, y] = at;
                Some([
                    (x / SPHERE_M).to_degrees(),
                    (y / SPHERE_M).sinh().atan().to_degrees(),
                ])
            }
            #[cfg(feature = "systems")]
            Kind::Projected(pair) => {
                let mut p = (at[0], at[1], 0.0);
                let finite = at[0].is_finite() && at[1].is_finite();
                (finite && proj4rs::transform::transform(&pair.0, &pair.1, &mut p).is_ok())
                    .then(|| [p.0.to_degrees(), p.1.to_degrees()])
            }
        };
        out.filter(|[lon, lat]| lon.abs() <= 180.0 && lat.abs() <= 90.0)
            .ok_or_else(|| SystemError::Position {
                system: self.name.clone(),
                at,
            })
    }
}

/// The part of a definition that says where east and north are.
fn horizontal(root: &Node) -> Result<&Node, SystemError> {
    let node = if root.is_any(&["COMPD_CS", "COMPOUNDCRS"]) {
        root.children()
            .find(|c| c.is_any(wkt::PROJECTED) || c.is_any(wkt::GEOGRAPHIC))
            .unwrap_or(root)
    } else {
        root
    };
    if node.is_any(wkt::PROJECTED) || node.is_any(wkt::GEOGRAPHIC) {
        return Ok(node);
    }
    Err(SystemError::Unusual {
        system: node.name(),
        what: if node.is_any(&["LOCAL_CS", "ENGCRS", "ENGINEERINGCRS"]) {
            "which has no place on Earth"
        } else {
            "which is neither geographic nor projected"
        },
    })
}

/// Methods that are understood, spelled without case, spaces and underscores: names of EPSG, of
/// OGC's first dialect and of ESRI.
const METHODS: &[&str] = &[
    "transversemercator",
    "gausskruger",
    "lambertconformalconic",
    "lambertconformalconic1sp",
    "lambertconformalconic2sp",
    "lambertconicconformal1sp",
    "lambertconicconformal2sp",
    "albers",
    "albersequalarea",
    "albersconicequalarea",
    "obliquemercator",
    "hotineobliquemercator",
    "hotineobliquemercatorvarianta",
    "hotineobliquemercatorvariantb",
    "hotineobliquemercatorazimuthcenter",
    "hotineobliquemercatorazimuthnaturalorigin",
    "rectifiedskeworthomorphicnaturalorigin",
    "rectifiedskeworthomorphiccenter",
];
const WEB_METHODS: &[&str] = &[
    "popularvisualisationpseudomercator",
    "mercatorauxiliarysphere",
];

fn projected(text: &str, node: &Node) -> Result<Kind, SystemError> {
    let system = node.name();
    let method = node
        .find(&["METHOD", "PROJECTION"])
        .map(Node::name)
        .unwrap_or_default();
    let bare: String = method
        .to_ascii_lowercase()
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .collect();
    let extension = node.find(&["EXTENSION"]);
    let web = WEB_METHODS.contains(&bare.as_str())
        // Web Mercator has no name of its own in OGC's first dialect.
        || extension.is_some_and(|e| {
            let said = e.texts().join(" ");
            said.contains("+proj=merc") && said.contains("+a=6378137 +b=6378137")
        });
    if web {
        let plain = node.all(&["PARAMETER"]).iter().all(|p| {
            let scale = p.name().to_ascii_lowercase().contains("scale");
            p.numbers().first().is_some_and(|v| *v == f64::from(scale))
        });
        let metres = node
            .all(&["UNIT", "LENGTHUNIT"])
            .iter()
            .filter(|u| !u.name().to_ascii_lowercase().starts_with("deg"))
            .all(|u| u.numbers().first() == Some(&1.0));
        return if plain && metres {
            Ok(Kind::WebMercator)
        } else {
            Err(SystemError::Unusual {
                system,
                what: "a web Mercator with an origin or a unit of its own",
            })
        };
    }
    if !METHODS.contains(&bare.as_str()) {
        return Err(SystemError::Projection { system, method });
    }
    if extension.is_some() {
        return Err(SystemError::Unusual {
            system,
            what: "whose definition is overridden by another program's own",
        });
    }
    by_library(text, system, method)
}

#[cfg(feature = "systems")]
fn by_library(text: &str, system: String, method: String) -> Result<Kind, SystemError> {
    let said = proj4wkt::wkt_to_projstring(text).map_err(|_| SystemError::Projection {
        system: system.clone(),
        method: method.clone(),
    })?;
    // The datum has been judged; nothing is to be shifted.
    let said: Vec<&str> = said
        .split_whitespace()
        .filter(|t| {
            !["+towgs84", "+nadgrids", "+datum"]
                .iter()
                .any(|d| t.starts_with(d))
        })
        .collect();
    let ellipsoid: Vec<&str> = said
        .iter()
        .filter(|t| {
            ["+a=", "+b=", "+rf=", "+ellps="]
                .iter()
                .any(|d| t.starts_with(d))
        })
        .copied()
        .collect();
    pair(&said.join(" "), &ellipsoid.join(" ")).ok_or(SystemError::Projection { system, method })
}

#[cfg(not(feature = "systems"))]
fn by_library(_: &str, system: String, _: String) -> Result<Kind, SystemError> {
    Err(SystemError::NotBuilt { system })
}

#[cfg(feature = "systems")]
fn pair(projection: &str, ellipsoid: &str) -> Option<Kind> {
    let from = proj4rs::Proj::from_proj_string(projection).ok()?;
    let to = proj4rs::Proj::from_proj_string(&format!("+proj=longlat {ellipsoid}")).ok()?;
    Some(Kind::Projected(Box::new((from, to))))
}

#[cfg(feature = "systems")]
fn utm(zone: u32, south: bool) -> Option<Kind> {
    let south = if south { " +south" } else { "" };
    pair(
        &format!("+proj=utm +zone={zone}{south} +ellps=GRS80"),
        "+ellps=GRS80",
    )
}

#[cfg(not(feature = "systems"))]
fn utm(_: u32, _: bool) -> Option<Kind> {
    None
}

#[cfg(test)]
mod tests;
