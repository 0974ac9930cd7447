#![doc = include_str!("../README.md")]
//!
//! A page is first a [`drawing::Drawing`], a list of marks in millimetres; the SVG and the PDF are
//! made from that one list. Weights, tones and type sizes stand in [`ink`], with the reasons.

mod block_bounds;
pub mod book;
pub mod cautions;
pub mod crew;
pub mod day_board;
pub mod drawing;
mod glyphs;
pub mod grain_map;
pub mod grass;
pub mod hatch;
pub mod ink;
mod json;
pub mod lettering;
pub mod locator;
pub mod loop_detail;
pub mod map;
pub mod marks;
pub mod overview;
mod overview_table;
pub mod page;
mod pieces;
pub mod places;
pub mod press;
mod reasons;
pub mod season_curve;
mod season_frame;
pub mod season_month;
pub mod season_pages;
pub mod season_week;
pub mod sentences;
pub mod shape;
pub mod sheet;
pub mod signs;
pub mod size_chart;
mod step_marks;
pub mod svg_page;
pub mod telling;
mod text_faults;
pub mod view;
mod ways;
pub mod words;

pub use season_frame::SeasonPage;
pub use season_pages::season_pages;
pub use sheet::{SheetInput, sheet};
