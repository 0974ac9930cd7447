//! Work handed out one piece at a time: whoever is done takes the next.
//!
//! A fairway may take a second, and the cores are few: shares made beforehand would leave one of
//! them idle in the end. Give the longest work first.

use rayon::prelude::*;

/// Does the work on every item, on as many threads as the pool has. The answers come in the order
/// of the items.
pub(crate) fn hand_out<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let mut done: Vec<(usize, R)> = items
        .iter()
        .enumerate()
        .par_bridge()
        .map(|(i, item)| (i, work(item)))
        .collect();
    done.sort_by_key(|d| d.0);
    done.into_iter().map(|d| d.1).collect()
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_answers_keep_the_order_of_the_items() {
        let items: Vec<u64> = (0..1000).collect();
        let squares = super::hand_out(&items, |n| n * n);
        assert!(
            squares
                .iter()
                .enumerate()
                .all(|(i, s)| *s == (i * i) as u64)
        );
        assert_eq!(squares.len(), 1000);
    }
}
