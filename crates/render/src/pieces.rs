//! Texts that share long stretches, with each stretch held once.
//!
//! The sheets of one mow say the same thing in several languages, and a map in parts draws the
//! same drive in each part. Their path data differ in the first point only: it is relative from
//! there on, and views keep to the grid of the page (see [`crate::view::View::on_grid`]). So a
//! line is cut behind that point, and the data that follow are held once for all.

use crate::json;
use std::collections::BTreeMap;

/// Stretches shorter than this are not worth a number, bytes.
const MIN_LENGTH: usize = 40;

/// Texts as lists of stretches.
#[derive(Debug, Default)]
pub(crate) struct Pieces<'a> {
    /// What stands more than once.
    shared: Vec<&'a str>,
    /// Each text, in order.
    texts: Vec<Vec<Piece<'a>>>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Piece<'a> {
    Own(&'a str),
    Shared(usize),
}

impl<'a> Pieces<'a> {
    /// Cuts texts up; put together again they are the same to the byte.
    pub(crate) fn of(texts: &'a [String]) -> Self {
        let mut uses: BTreeMap<&str, u32> = BTreeMap::new();
        for s in texts.iter().flat_map(|t| stretches(t)) {
            if s.len() >= MIN_LENGTH {
                *uses.entry(s).or_default() += 1;
            }
        }
        let mut out = Self::default();
        let mut place: BTreeMap<&str, usize> = BTreeMap::new();
        for text in texts {
            let mut list = Vec::new();
            // What is not shared is kept whole from the last shared stretch to the next.
            let (mut from, mut at) = (0, 0);
            for s in stretches(text) {
                if uses.get(s).is_some_and(|n| *n > 1) {
                    if from < at {
                        list.push(Piece::Own(&text[from..at]));
                    }
                    let n = *place.entry(s).or_insert_with(|| {
                        out.shared.push(s);
                        out.shared.len() - 1
                    });
                    list.push(Piece::Shared(n));
                    from = at + s.len();
                }
                at += s.len();
            }
            if from < at {
                list.push(Piece::Own(&text[from..at]));
            }
            out.texts.push(list);
        }
        out
    }

    /// The shared stretches as a list of strings.
    pub(crate) fn write_shared(&self, j: &mut json::Writer<'_>) {
        j.list(&self.shared, |j, s| j.text(s));
    }

    /// Each text as a list of strings and of numbers of shared stretches.
    pub(crate) fn write_texts(&self, j: &mut json::Writer<'_>) {
        j.list(&self.texts, |j, text| {
            j.list(text, |j, piece| match piece {
                Piece::Own(s) => j.text(s),
                Piece::Shared(n) => j.number(*n as f64, 0),
            });
        });
    }
}

/// Lines; a line with path data is cut behind the first point and behind the data, since the same
/// path may be filled here and drawn there.
fn stretches(text: &str) -> impl Iterator<Item = &str> {
    text.split_inclusive('\n').flat_map(|line| {
        let (head, data, rest) = cut(line).unwrap_or((line, "", ""));
        [head, data, rest].into_iter().filter(|s| !s.is_empty())
    })
}

fn cut(line: &str) -> Option<(&str, &str, &str)> {
    const PATH: &str = " d=\"M";
    let point = line.find(PATH)? + PATH.len();
    let from = point + line[point..].find(|c: char| c.is_ascii_alphabetic())?;
    let to = from + line[from..].find('"')?;
    Some((&line[..from], &line[from..to], &line[to..]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_cut_up_goes_together_again() {
        let long = "l1 1".repeat(20);
        let texts = [
            format!("<a>\n<path d=\"M1 2{long}\"/>\n<text>é</text>\n<path d=\"M1.5 2{long}\"/>\n"),
            format!("<path d=\"M7-2{long}\" fill=\"none\"/>\n</a>"),
            String::new(),
        ];
        let pieces = Pieces::of(&texts);
        assert_eq!(pieces.shared.len(), 1);
        for (text, list) in texts.iter().zip(&pieces.texts) {
            let again: String = list
                .iter()
                .map(|p| match p {
                    Piece::Own(s) => s,
                    Piece::Shared(n) => pieces.shared[*n],
                })
                .collect();
            assert_eq!(again, *text);
        }
    }
}
