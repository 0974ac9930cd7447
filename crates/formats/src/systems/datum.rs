//! Datums that are known, and how near they lie to the one of longitude and latitude.

/// A datum that can be taken for WGS 84.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Datum {
    /// The receiver's own.
    Wgs84,
    /// North America, every realisation.
    Nad83,
    /// Europe.
    Etrs89,
    /// Australia, before 2020.
    Gda94,
    /// Australia.
    Gda2020,
    /// New Zealand.
    Nzgd2000,
}

impl Datum {
    pub(super) fn word(self) -> &'static str {
        match self {
            Datum::Wgs84 => "WGS 84",
            Datum::Nad83 => "NAD83",
            Datum::Etrs89 => "ETRS89",
            Datum::Gda94 => "GDA94",
            Datum::Gda2020 => "GDA2020",
            Datum::Nzgd2000 => "NZGD2000",
        }
    }

    /// The datum a definition names, however it spells it.
    pub(super) fn named(name: &str) -> Option<Self> {
        let plain: String = name
            .to_ascii_lowercase()
            .chars()
            .map(|c| if c.is_ascii_alphanumeric() { c } else { ' ' })
            .collect();
        let words: Vec<&str> = plain.split_whitespace().filter(|w| *w != "d").collect();
        let text = words.join(" ");
        let starts = |list: &[&str]| {
            list.iter()
                .any(|s| text == *s || text.strip_prefix(s).is_some_and(|t| t.starts_with(' ')))
        };
        // Names of the EPSG dataset and of ESRI's definitions, read from memory.
        if starts(&["wgs 1984", "wgs 84", "wgs84", "world geodetic system 1984"]) {
            Some(Datum::Wgs84)
        } else if starts(&[
            "north american 1983",
            "north american datum 1983",
            "nad 1983",
            "nad83",
            "nad 83",
        ]) {
            Some(Datum::Nad83)
        } else if starts(&[
            "european terrestrial reference system 1989",
            "etrs 1989",
            "etrs89",
            "etrs 89",
            "european terrestrial reference frame 1989",
        ]) {
            Some(Datum::Etrs89)
        } else if starts(&["geocentric datum of australia 1994", "gda 1994", "gda94"]) {
            Some(Datum::Gda94)
        } else if starts(&["geocentric datum of australia 2020", "gda 2020", "gda2020"]) {
            Some(Datum::Gda2020)
        } else if starts(&["new zealand geodetic datum 2000", "nzgd 2000", "nzgd2000"]) {
            Some(Datum::Nzgd2000)
        } else {
            None
        }
    }
}
