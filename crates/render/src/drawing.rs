//! A page as a list of marks, before it becomes SVG or PDF.
//!
//! One list, several presses: the SVG and the PDF of a sheet cannot drift apart, and every piece
//! of text is known with its box, so that a test can see whether any two collide.
//! Millimetres from the top left corner, y down; angles in radians, positive turning clockwise
//! as seen on the page.

use crate::ink::{BLACK, Ink};
use crate::lettering::{FALL_EM, RISE_EM, Rect, Weight, width_mm};

pub use crate::shape::{PathCommand, Shape, Spot, on_circle};

/// A drawn line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Colour.
    pub ink: Ink,
    /// Width, mm.
    pub width: f64,
    /// Dash and gap, mm; solid without.
    pub dash: Option<(f64, f64)>,
    /// Round ends and corners instead of flat ends.
    pub round: bool,
}

impl Stroke {
    /// A solid line.
    pub fn solid(ink: Ink, width: f64) -> Self {
        Self {
            ink,
            width,
            dash: None,
            round: false,
        }
    }

    /// A dashed line.
    pub fn dashed(ink: Ink, width: f64, dash: f64, gap: f64) -> Self {
        Self {
            dash: Some((dash, gap)),
            ..Self::solid(ink, width)
        }
    }

    /// The same with round ends.
    pub fn rounded(self) -> Self {
        Self {
            round: true,
            ..self
        }
    }
}

/// Where a text stands on its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// It is centred there.
    Middle,
    /// It ends there.
    End,
}

/// A line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// What it says; already clean.
    pub content: String,
    /// Anchor point on the baseline, mm.
    pub at: Spot,
    /// Em, mm.
    pub size: f64,
    /// Weight.
    pub weight: Weight,
    /// Anchor.
    pub anchor: Anchor,
    /// Colour.
    pub ink: Ink,
}

impl Text {
    /// Width, mm.
    pub fn width(&self) -> f64 {
        width_mm(&self.content, self.size, self.weight)
    }

    /// Left end of the baseline, mm.
    pub fn left(&self) -> f64 {
        match self.anchor {
            Anchor::Start => self.at.0,
            Anchor::Middle => self.at.0 - self.width() / 2.0,
            Anchor::End => self.at.0 - self.width(),
        }
    }

    /// The box its ink can reach, accents and tails included.
    pub fn rect(&self) -> Rect {
        // A text of digits and signs has no accents and no tails.
        let plain = self
            .content
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, ' ' | '.' | '°' | '-' | '+' | ':'));
        let (rise, fall) = if plain {
            (0.70, 0.03)
        } else {
            (RISE_EM, FALL_EM)
        };
        Rect::new(
            self.left(),
            self.at.1 - rise * self.size,
            self.width(),
            (rise + fall) * self.size,
        )
    }
}

/// A mark on the page.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A filled or drawn shape, or both.
    Shape {
        /// The shape.
        shape: Shape,
        /// Fill (even-odd).
        fill: Option<Ink>,
        /// Line.
        stroke: Option<Stroke>,
    },
    /// A line of text.
    Text(Text),
    /// Marks that belong together.
    Group {
        /// A name for the group: an SVG class, for scripts and tests.
        class: &'static str,
        /// Nothing is drawn outside this shape (even-odd).
        clip: Option<Shape>,
        /// Strength, 0 to 1.
        opacity: f64,
        /// What is in it.
        marks: Vec<Mark>,
    },
}

/// A page.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Width, mm.
    pub width: f64,
    /// Height, mm.
    pub height: f64,
    /// What it is, for screen readers and window titles; already clean.
    pub title: String,
    /// Language of the text, as in `xml:lang`.
    pub language: String,
    /// The marks, the first at the bottom.
    pub marks: Vec<Mark>,
}

/// A list of marks being drawn.
#[derive(Debug, Clone, Default)]
pub struct Pen {
    /// The marks so far.
    pub marks: Vec<Mark>,
}

impl Pen {
    /// An empty list.
    pub fn new() -> Self {
        Self::default()
    }

    /// A filled shape.
    pub fn fill(&mut self, shape: Shape, ink: Ink) {
        if !shape.is_empty() {
            self.marks.push(Mark::Shape {
                shape,
                fill: Some(ink),
                stroke: None,
            });
        }
    }

    /// A drawn shape.
    pub fn stroke(&mut self, shape: Shape, stroke: Stroke) {
        if !shape.is_empty() {
            self.marks.push(Mark::Shape {
                shape,
                fill: None,
                stroke: Some(stroke),
            });
        }
    }

    /// A filled and drawn shape.
    pub fn fill_stroke(&mut self, shape: Shape, ink: Ink, stroke: Stroke) {
        if !shape.is_empty() {
            self.marks.push(Mark::Shape {
                shape,
                fill: Some(ink),
                stroke: Some(stroke),
            });
        }
    }

    /// Black text; blank text is left out.
    pub fn text(
        &mut self,
        content: impl Into<String>,
        at: Spot,
        size: f64,
        weight: Weight,
        anchor: Anchor,
    ) {
        self.coloured_text(content, at, size, weight, anchor, BLACK);
    }

    /// Text in a colour.
    pub fn coloured_text(
        &mut self,
        content: impl Into<String>,
        at: Spot,
        size: f64,
        weight: Weight,
        anchor: Anchor,
        ink: Ink,
    ) {
        let content = content.into();
        if !content.trim().is_empty() {
            self.marks.push(Mark::Text(Text {
                content,
                at,
                size,
                weight,
                anchor,
                ink,
            }));
        }
    }

    /// Marks that belong together.
    pub fn group(&mut self, class: &'static str, marks: Vec<Mark>) {
        self.clipped(class, None, 1.0, marks);
    }

    /// Marks that belong together, clipped or weakened.
    pub fn clipped(
        &mut self,
        class: &'static str,
        clip: Option<Shape>,
        opacity: f64,
        marks: Vec<Mark>,
    ) {
        if !marks.is_empty() {
            self.marks.push(Mark::Group {
                class,
                clip,
                opacity,
                marks,
            });
        }
    }
}

/// The same marks elsewhere on the page.
pub fn moved(marks: Vec<Mark>, dx: f64, dy: f64) -> Vec<Mark> {
    let go = |p: Spot| (p.0 + dx, p.1 + dy);
    let shift = |shape: Shape| Shape {
        steps: shape
            .steps
            .into_iter()
            .map(|s| match s {
                PathCommand::Move(p) => PathCommand::Move(go(p)),
                PathCommand::Line(p) => PathCommand::Line(go(p)),
                PathCommand::Arc {
                    centre,
                    radius,
                    from,
                    sweep,
                } => PathCommand::Arc {
                    centre: go(centre),
                    radius,
                    from,
                    sweep,
                },
                PathCommand::Close => PathCommand::Close,
            })
            .collect(),
    };
    marks
        .into_iter()
        .map(|m| match m {
            Mark::Shape {
                shape,
                fill,
                stroke,
            } => Mark::Shape {
                shape: shift(shape),
                fill,
                stroke,
            },
            Mark::Text(t) => Mark::Text(Text { at: go(t.at), ..t }),
            Mark::Group {
                class,
                clip,
                opacity,
                marks,
            } => Mark::Group {
                class,
                clip: clip.map(shift),
                opacity,
                marks: moved(marks, dx, dy),
            },
        })
        .collect()
}

impl Drawing {
    /// Every text on the page, in drawing order.
    pub fn texts(&self) -> Vec<&Text> {
        fn walk<'a>(marks: &'a [Mark], out: &mut Vec<&'a Text>) {
            for m in marks {
                match m {
                    Mark::Text(t) => out.push(t),
                    Mark::Group { marks, .. } => walk(marks, out),
                    Mark::Shape { .. } => {}
                }
            }
        }
        let mut out = Vec::new();
        walk(&self.marks, &mut out);
        out
    }
}
