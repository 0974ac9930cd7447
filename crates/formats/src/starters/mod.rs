//! Starters: a mower file and a rules file to write one's own figures over.

/// A mower file with notes.
pub const MOWER: &str = include_str!("mower.json");
/// A rules file with notes.
pub const RULES: &str = include_str!("rules.json");

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{mower, rules, usual};
    use crossgrain_season::Rules;
    use jiff::civil::date;

    #[test]
    fn starters_are_read_and_nothing_in_them_is_odd() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("m.json");
        std::fs::write(&path, MOWER).unwrap();
        let m = mower::open(&path).unwrap();
        assert_eq!(usual::mower(&m), []);
        let defaults = Rules::between(date(2027, 4, 1), date(2027, 10, 31));
        let r = rules::read(RULES, "r.json", defaults).unwrap();
        assert_eq!(usual::rules(&r), []);
    }
}
