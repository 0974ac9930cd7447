//! The same work on many things, by two threads; the answers in order.

use crossgrain_season::programme::{Stage, Workers};
use std::sync::atomic::{AtomicUsize, Ordering};

/// The answers in the order of the items, whichever thread gave them.
pub fn each<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let mut done: Vec<(usize, R)> = std::thread::scope(|s| {
        let hands: Vec<_> = (0..2)
            .map(|_| {
                s.spawn(|| {
                    let mut mine = Vec::new();
                    loop {
                        let i = next.fetch_add(1, Ordering::Relaxed);
                        let Some(item) = items.get(i) else {
                            return mine;
                        };
                        mine.push((i, work(item)));
                    }
                })
            })
            .collect();
        hands.into_iter().flat_map(|h| h.join().unwrap()).collect()
    });
    done.sort_by_key(|(i, _)| *i);
    done.into_iter().map(|(_, r)| r).collect()
}

/// Two threads for the planning of a season.
pub struct Two;

impl Workers for Two {
    fn each<T: Sync, R: Send>(
        &self,
        _: Stage,
        items: &[T],
        work: impl Fn(&T) -> R + Sync,
    ) -> Vec<R> {
        each(items, work)
    }
}
