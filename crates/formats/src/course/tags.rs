//! The words that are understood: roles, kinds, and OpenStreetMap's open tags.
//!
//! Tags are those of the OpenStreetMap wiki (map features `golf`, `natural`, `waterway`,
//! `landuse`, `leisure`, `highway`, `barrier`), read from memory.

use super::crew::FixtureKind;
use super::role::Role;
use crossgrain_core::inside::model::ground::KeepOutKind as Kind;

/// What a word means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Word {
    Use(Role),
    /// Known, and of no use for mowing: why.
    Aside(&'static str),
}

const GRASS: &str = "grass, and no fairway";
const OWN: &str = "left aside as the file asks";

/// The values of `role`; `_` and spaces count as `-`.
pub(crate) const ROLES: &[(&str, Word)] = &[
    ("fairway", Word::Use(Role::Fairway)),
    ("keep-out", Word::Use(Role::KeepOut(Kind::Other))),
    ("no-turn", Word::Use(Role::NoTurn)),
    ("keep-off", Word::Use(Role::KeepOut(Kind::KeepOff))),
    ("green", Word::Use(Role::KeepOut(Kind::Green))),
    ("tee", Word::Use(Role::KeepOut(Kind::Tee))),
    ("bunker", Word::Use(Role::KeepOut(Kind::Bunker))),
    ("water", Word::Use(Role::KeepOut(Kind::Water))),
    ("stream", Word::Use(Role::KeepOut(Kind::Stream))),
    ("wetland", Word::Use(Role::KeepOut(Kind::Wetland))),
    ("trees", Word::Use(Role::KeepOut(Kind::Trees))),
    ("scrub", Word::Use(Role::KeepOut(Kind::Scrub))),
    ("out-of-bounds", Word::Use(Role::KeepOut(Kind::OutOfBounds))),
    ("path", Word::Use(Role::KeepOut(Kind::Path))),
    ("bridge", Word::Use(Role::Bridge)),
    ("hole", Word::Use(Role::Hole)),
    ("way-in", Word::Use(Role::WayIn)),
    (
        "sprinkler-head",
        Word::Use(Role::Fixture(FixtureKind::SprinklerHead)),
    ),
    (
        "yardage-plate",
        Word::Use(Role::Fixture(FixtureKind::YardagePlate)),
    ),
    ("rough", Word::Aside(GRASS)),
    ("aside", Word::Aside(OWN)),
];

/// Words that people use for a role, and the role they mean.
pub(crate) const SYNONYMS: &[(&str, &str)] = &[
    ("tree", "trees"),
    ("wood", "trees"),
    ("woods", "trees"),
    ("forest", "trees"),
    ("pond", "water"),
    ("lake", "water"),
    ("river", "water"),
    ("water-hazard", "water"),
    ("hazard", "water or bunker"),
    ("penalty-area", "water"),
    ("sand", "bunker"),
    ("sand-trap", "bunker"),
    ("trap", "bunker"),
    ("burn", "stream"),
    ("creek", "stream"),
    ("ditch", "stream"),
    ("drain", "stream"),
    ("marsh", "wetland"),
    ("bushes", "scrub"),
    ("hedge", "scrub"),
    ("ob", "out-of-bounds"),
    ("cart-path", "path"),
    ("cartpath", "path"),
    ("track", "path"),
    ("road", "path"),
    ("obstacle", "keep-out"),
    ("exclusion", "keep-out"),
    ("exclude", "keep-out"),
    ("ignore", "aside"),
    ("none", "aside"),
    ("entrance", "way-in"),
    ("sprinkler", "sprinkler-head"),
    ("irrigation-head", "sprinkler-head"),
    ("yardage-marker", "yardage-plate"),
    ("hole-line", "hole"),
];

/// Open tags, key by key. A value of `*` stands for every value but `no`.
pub(crate) const TAGS: &[(&str, &[(&str, Word)])] = &[
    (
        "golf",
        &[
            ("fairway", Word::Use(Role::Fairway)),
            ("hole", Word::Use(Role::Hole)),
            ("green", Word::Use(Role::KeepOut(Kind::Green))),
            ("putting_green", Word::Use(Role::KeepOut(Kind::Green))),
            ("tee", Word::Use(Role::KeepOut(Kind::Tee))),
            ("bunker", Word::Use(Role::KeepOut(Kind::Bunker))),
            ("water_hazard", Word::Use(Role::KeepOut(Kind::Water))),
            (
                "lateral_water_hazard",
                Word::Use(Role::KeepOut(Kind::Water)),
            ),
            ("out_of_bounds", Word::Use(Role::KeepOut(Kind::OutOfBounds))),
            ("cartpath", Word::Use(Role::KeepOut(Kind::Path))),
            ("cart_path", Word::Use(Role::KeepOut(Kind::Path))),
            ("path", Word::Use(Role::KeepOut(Kind::Path))),
            ("rough", Word::Aside(GRASS)),
            ("driving_range", Word::Aside("practice ground")),
            ("practice", Word::Aside("practice ground")),
            ("pin", Word::Aside("it stands on the green")),
            ("clubhouse", Word::Aside("no ground to mow")),
        ],
    ),
    (
        "natural",
        &[
            ("water", Word::Use(Role::KeepOut(Kind::Water))),
            ("bay", Word::Use(Role::KeepOut(Kind::Water))),
            ("coastline", Word::Use(Role::KeepOut(Kind::Water))),
            ("wetland", Word::Use(Role::KeepOut(Kind::Wetland))),
            ("mud", Word::Use(Role::KeepOut(Kind::Wetland))),
            ("wood", Word::Use(Role::KeepOut(Kind::Trees))),
            ("tree", Word::Use(Role::KeepOut(Kind::Trees))),
            ("tree_row", Word::Use(Role::KeepOut(Kind::Trees))),
            ("scrub", Word::Use(Role::KeepOut(Kind::Scrub))),
            ("shrubbery", Word::Use(Role::KeepOut(Kind::Scrub))),
            ("heath", Word::Use(Role::KeepOut(Kind::Scrub))),
            ("sand", Word::Use(Role::KeepOut(Kind::Bunker))),
            ("beach", Word::Use(Role::KeepOut(Kind::Bunker))),
            ("rock", Word::Use(Role::KeepOut(Kind::Other))),
            ("stone", Word::Use(Role::KeepOut(Kind::Other))),
            ("bare_rock", Word::Use(Role::KeepOut(Kind::Other))),
            ("scree", Word::Use(Role::KeepOut(Kind::Other))),
            ("shingle", Word::Use(Role::KeepOut(Kind::Other))),
            ("cliff", Word::Use(Role::KeepOut(Kind::Other))),
            ("grassland", Word::Aside(GRASS)),
            ("grass", Word::Aside(GRASS)),
        ],
    ),
    (
        "waterway",
        &[
            ("stream", Word::Use(Role::KeepOut(Kind::Stream))),
            ("ditch", Word::Use(Role::KeepOut(Kind::Stream))),
            ("drain", Word::Use(Role::KeepOut(Kind::Stream))),
            ("river", Word::Use(Role::KeepOut(Kind::Stream))),
            ("canal", Word::Use(Role::KeepOut(Kind::Stream))),
            ("riverbank", Word::Use(Role::KeepOut(Kind::Water))),
            ("dock", Word::Use(Role::KeepOut(Kind::Water))),
        ],
    ),
    (
        "landuse",
        &[
            ("forest", Word::Use(Role::KeepOut(Kind::Trees))),
            ("orchard", Word::Use(Role::KeepOut(Kind::Trees))),
            ("basin", Word::Use(Role::KeepOut(Kind::Water))),
            ("reservoir", Word::Use(Role::KeepOut(Kind::Water))),
            ("flowerbed", Word::Use(Role::KeepOut(Kind::Other))),
            ("grass", Word::Aside(GRASS)),
            ("meadow", Word::Aside(GRASS)),
            ("recreation_ground", Word::Aside("an area as a whole")),
        ],
    ),
    (
        "leisure",
        &[
            ("garden", Word::Use(Role::KeepOut(Kind::Other))),
            ("swimming_pool", Word::Use(Role::KeepOut(Kind::Water))),
            ("golf_course", Word::Aside("the course as a whole")),
            ("park", Word::Aside("an area as a whole")),
            ("nature_reserve", Word::Aside("an area as a whole")),
        ],
    ),
    (
        "barrier",
        &[
            ("fence", Word::Use(Role::KeepOut(Kind::Other))),
            ("wall", Word::Use(Role::KeepOut(Kind::Other))),
            ("retaining_wall", Word::Use(Role::KeepOut(Kind::Other))),
            ("guard_rail", Word::Use(Role::KeepOut(Kind::Other))),
            ("hedge", Word::Use(Role::KeepOut(Kind::Scrub))),
            ("ditch", Word::Use(Role::KeepOut(Kind::Stream))),
        ],
    ),
    ("building", &[("*", Word::Use(Role::KeepOut(Kind::Other)))]),
    ("railway", &[("*", Word::Use(Role::KeepOut(Kind::Other)))]),
    ("highway", &[("*", Word::Use(Role::KeepOut(Kind::Path)))]),
    ("man_made", &[("bridge", Word::Use(Role::Bridge))]),
    (
        "power",
        &[
            ("line", Word::Aside("overhead")),
            ("minor_line", Word::Aside("overhead")),
            ("cable", Word::Aside("under the ground")),
        ],
    ),
    ("boundary", &[("*", Word::Aside("an area as a whole"))]),
    ("contour", &[("*", Word::Aside("a line of equal height"))]),
];

/// Keys under which a slip of the pen hides a hazard; a near miss there is refused.
pub(crate) const STRICT_KEYS: &[&str] = &["golf", "natural", "waterway"];

/// Keys that say something even where the value is not known here.
pub(crate) const OTHER_KEYS: &[&str] = &["amenity", "tourism", "aeroway", "surface"];
