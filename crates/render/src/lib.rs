//! Operator sheets, size charts, season pages and the course book.
//!
//! A page is first a [`drawing::Drawing`], a list of marks in millimetres; the SVG and the PDF are
//! made from that one list. Weights, tones and type sizes stand in [`ink`], with the reasons.

pub mod drawing;
mod glyphs;
pub mod ink;
pub mod lettering;
pub mod page;
pub mod size_chart;
pub mod svg_page;
pub mod words;
