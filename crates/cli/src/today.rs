//! The day it is.

use jiff::civil::{Date, date};
use std::time::{SystemTime, UNIX_EPOCH};

/// Today by UTC, or the day that `SOURCE_DATE_EPOCH` (seconds since 1970, as reproducible builds
/// have it) stands for, so that the same input can give the same bytes tomorrow.
pub(crate) fn today() -> Date {
    let set = std::env::var("SOURCE_DATE_EPOCH")
        .ok()
        .and_then(|v| v.trim().parse::<u64>().ok());
    let seconds = set.unwrap_or_else(|| {
        SystemTime::now()
            .duration_since(UNIX_EPOCH)
            .map_or(0, |d| d.as_secs())
    });
    let days = (seconds / 86_400).min(2_000_000);
    date(1970, 1, 1)
        .checked_add(jiff::Span::new().days(i64::try_from(days).unwrap_or(0)))
        .unwrap_or(date(1970, 1, 1))
}
