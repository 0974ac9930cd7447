//! What a feature can be used as.

use super::crew::FixtureKind;
use crossgrain_core::KeepOutKind;

/// What a feature is used as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Role {
    Fairway,
    KeepOut(KeepOutKind),
    NoTurn,
    /// Where a stream may be crossed; the reels stay up.
    Bridge,
    Hole,
    WayIn,
    /// Something small that stands in the turf.
    Fixture(FixtureKind),
}

impl Role {
    pub fn word(self) -> &'static str {
        match self {
            Role::Fairway => "fairway",
            Role::KeepOut(KeepOutKind::Other) => "keep-out",
            Role::KeepOut(kind) => kind.word(),
            Role::NoTurn => "no-turn",
            Role::Bridge => "bridge",
            Role::Hole => "hole",
            Role::WayIn => "way-in",
            Role::Fixture(kind) => kind.word(),
        }
    }
}
