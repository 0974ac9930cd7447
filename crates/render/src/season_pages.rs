//! The pages of a season: a wall calendar, a page a week, the grain of each fairway.
//!
//! Reading tasks. *The calendar*, from across the shed: on which day is something else than the
//! regular mow, and where; which days are closed. *The week*, each morning: fairway by fairway
//! the pattern as a sign and a word, the way as a hand on the clock with the green at 12, the
//! sense, the height to set, the minutes. *The grain*, once a month: where does the grass still
//! lean one way, and which way; dark and with lines is where to look. *Hours against grain*, at
//! the desk: is an hour more worth it.

use crate::grain_map::grain_pages;
use crate::page::Paper;
use crate::season_curve::curve_page;
use crate::season_frame::SeasonPage;
use crate::season_month::month_pages;
use crate::season_week::week_pages;
use crate::words::Words;
use crossgrain_core::Course;
use crossgrain_season::Programme;
use jiff::civil::Date;

/// All pages of a season; the grain as on `day`.
pub fn season_pages(
    programme: &Programme,
    course: &Course,
    day: Date,
    paper: Paper,
    words: &Words,
) -> Vec<SeasonPage> {
    let mut out = month_pages(programme, paper, words);
    out.extend(week_pages(programme, paper, words));
    out.extend(curve_page(programme, paper, words));
    out.extend(grain_pages(programme, course, day, paper, words));
    out
}
