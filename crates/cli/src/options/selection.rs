//! Which fairways are meant: names, ranges of numbers, quotes round names with commas.

use crate::failure::Failure;

/// Names listed in a refusal before the rest are only counted.
const NAMES: usize = 30;

/// Whether each fairway is meant by any of the lists of one option.
pub(crate) fn selected<'a>(
    lists: impl Iterator<Item = &'a String>,
    fairways: &[&str],
    option: &'static str,
) -> Result<Vec<bool>, Failure> {
    let fail = |reason: String| Failure::Argument { option, reason };
    let mut out = vec![false; fairways.len()];
    let mut any = false;
    for list in lists {
        // A name may have commas and dashes of its own.
        let whole = list.trim();
        let words = if fairways.contains(&whole) {
            vec![(whole.to_string(), true)]
        } else {
            split(list)
        };
        for (word, quoted) in words {
            any = true;
            let mut found = false;
            for (meant, f) in out.iter_mut().zip(fairways) {
                if **f == word {
                    (*meant, found) = (true, true);
                }
            }
            if !found
                && !quoted
                && let Some((low, high)) = range(&word)
            {
                if low > high {
                    return Err(fail(format!("'{word}' runs backwards; write {high}-{low}")));
                }
                for (meant, f) in out.iter_mut().zip(fairways) {
                    if f.parse::<u32>().is_ok_and(|n| (low..=high).contains(&n)) {
                        (*meant, found) = (true, true);
                    }
                }
            }
            if !found {
                return Err(fail(format!(
                    "there is no fairway '{word}'; the file has {}",
                    names(fairways)
                )));
            }
        }
    }
    if any {
        Ok(out)
    } else {
        Err(fail(
            "names no fairway; write them with commas, such as 7,12 or 1-9".to_string(),
        ))
    }
}

fn names(fairways: &[&str]) -> String {
    let mut list: Vec<&str> = fairways.iter().take(NAMES).copied().collect();
    let more = format!("{} more", fairways.len().saturating_sub(NAMES));
    if fairways.len() > NAMES {
        list.push(&more);
    }
    list.join(", ")
}

/// The words between commas, without quotes; whether each was quoted.
fn split(list: &str) -> Vec<(String, bool)> {
    let mut out = Vec::new();
    let (mut word, mut quoted, mut open) = (String::new(), false, None);
    for c in list.chars() {
        match (open, c) {
            (Some(q), c) if c == q => open = None,
            (Some(_), c) => word.push(c),
            (None, '"' | '\'') if word.trim().is_empty() => {
                word.clear();
                (open, quoted) = (Some(c), true);
            }
            (None, ',') => {
                out.push((std::mem::take(&mut word), quoted));
                quoted = false;
            }
            (None, c) => word.push(c),
        }
    }
    out.push((word, quoted));
    out.into_iter()
        .map(|(w, q)| (w.trim().to_string(), q))
        .filter(|(w, _)| !w.is_empty())
        .collect()
}

/// `3-8` as its two numbers.
fn range(word: &str) -> Option<(u32, u32)> {
    let (low, high) = word.split_once('-')?;
    Some((low.trim().parse().ok()?, high.trim().parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    const NAMED: [&str; 8] = ["1", "2", "3", "9", "18", "3-8", "Upper, left", "O'Brien"];

    fn meant(lists: &[&str]) -> Result<Vec<String>, String> {
        let lists: Vec<String> = lists.iter().map(ToString::to_string).collect();
        let picked = selected(lists.iter(), &NAMED, "--only").map_err(|e| e.to_string())?;
        Ok(NAMED
            .iter()
            .zip(picked)
            .filter(|p| p.1)
            .map(|p| (*p.0).to_string())
            .collect())
    }

    #[test]
    fn names_ranges_quotes_and_repeats() {
        let is = |lists: &[&str], names: &[&str]| {
            assert_eq!(
                meant(lists),
                Ok(names.iter().map(ToString::to_string).collect()),
                "{lists:?}"
            );
        };
        is(&["1, 9"], &["1", "9"]);
        is(&["2-10"], &["2", "3", "9"]);
        // A name comes before a range.
        is(&["3-8"], &["3-8"]);
        is(&["1,3-8"], &["1", "3-8"]);
        is(&["1", "18"], &["1", "18"]);
        is(&["Upper, left"], &["Upper, left"]);
        is(&["1,\"Upper, left\""], &["1", "Upper, left"]);
        is(&["O'Brien,2"], &["2", "O'Brien"]);
    }

    #[test]
    fn what_is_not_there_is_named() {
        for (lists, part) in [
            (
                &["1,7"][..],
                "there is no fairway '7'; the file has 1, 2, 3",
            ),
            (&["9-4"], "'9-4' runs backwards; write 4-9"),
            (&["40-50"], "there is no fairway '40-50'"),
            (&[" , "], "names no fairway"),
        ] {
            let e = meant(lists).expect_err("refused");
            assert!(e.contains(part), "{e}");
        }
    }
}
