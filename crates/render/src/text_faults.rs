//! What is wrong with the texts of a page: any two that meet, any that leave the page or cross a frame
//! or a rule, outside of maps and figures.

use crate::drawing::{Drawing, Mark, PathCommand, Shape, Spot};
use crate::lettering::Rect;

/// A rule shorter than this parts nothing from anything, mm: an arrow's shaft, a tick.
const MIN_RULE_MM: f64 = 8.0;
/// Text may come this near to an edge or over it, mm: half a hair line.
const SLACK_MM: f64 = 0.15;
/// Groups whose lines are a picture: texts on them find their own places.
const PICTURES: [&str; 8] = [
    "map", "marks", "where", "loop", "figure", "numbers", "swatch", "pattern",
];

/// A frame's edge or a rule, from its left or upper end.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Edge {
    from: Spot,
    to: Spot,
}

impl Edge {
    /// Whether a text's box lies on both sides of it.
    fn crosses(&self, text: &Rect) -> bool {
        let r = text.inset(SLACK_MM);
        if self.is_upright() {
            let between = r.x < self.from.0 && self.from.0 < r.right();
            between && r.y < self.to.1 && self.from.1 < r.bottom()
        } else {
            let between = r.y < self.from.1 && self.from.1 < r.bottom();
            between && r.x < self.to.0 && self.from.0 < r.right()
        }
    }

    fn is_upright(&self) -> bool {
        self.from.0 == self.to.0
    }
}

impl Drawing {
    /// What is wrong with the page's texts: any two that share area, any that leave the page or
    /// cross the edge of the box or the rule they stand at, any that would not be drawn as measured.
    /// Empty on a sound page.
    pub fn text_faults(&self) -> Vec<String> {
        let page = Rect::new(0.0, 0.0, self.width, self.height);
        let texts = self.texts();
        let boxes: Vec<Rect> = texts.iter().map(|t| t.rect()).collect();
        let mut out = Vec::new();
        let edges = edges_of(&self.marks);
        for (i, a) in boxes.iter().enumerate() {
            for edge in edges.iter().filter(|e| e.crosses(a)) {
                out.push(format!("'{}' at {a:?} crosses {edge:?}", texts[i].content));
            }
            if !page.holds(a) {
                out.push(format!("'{}' leaves the page at {a:?}", texts[i].content));
            }
            // SVG draws a run of spaces as one.
            if texts[i].content.contains("  ") {
                out.push(format!("'{}' has two spaces in a row", texts[i].content));
            }
            for (j, b) in boxes.iter().enumerate().skip(i + 1) {
                if a.meets(b) {
                    out.push(format!(
                        "'{}' at {a:?} meets '{}' at {b:?}",
                        texts[i].content, texts[j].content
                    ));
                }
            }
        }
        out
    }
}

/// All edges of these marks.
fn edges_of(marks: &[Mark]) -> Vec<Edge> {
    let mut out = Vec::new();
    for m in marks {
        match m {
            Mark::Group { class, marks, .. } if !PICTURES.contains(class) => {
                out.extend(edges_of(marks))
            }
            Mark::Shape {
                shape,
                stroke: Some(s),
                ..
            } if s.dash.is_none() => out.extend(straight(shape)),
            _ => {}
        }
    }
    out
}

/// The level and upright lines of a shape, where they are long enough to be rules.
fn straight(shape: &Shape) -> Vec<Edge> {
    let mut out = Vec::new();
    let (mut first, mut at) = (None, None);
    for step in &shape.steps {
        let to = match step {
            PathCommand::Move(p) => {
                (first, at) = (Some(*p), Some(*p));
                continue;
            }
            PathCommand::Line(p) => Some(*p),
            PathCommand::Close => first,
            PathCommand::Arc { .. } => None,
        };
        if let (Some(a), Some(b)) = (at, to) {
            let level = (a.1 - b.1).abs() < 1e-9;
            let upright = (a.0 - b.0).abs() < 1e-9;
            let len = (b.0 - a.0).hypot(b.1 - a.1);
            if level != upright && len >= MIN_RULE_MM {
                let low = |i: f64, j: f64| i.min(j);
                let from = (low(a.0, b.0), low(a.1, b.1));
                let to = if upright {
                    (from.0, a.1.max(b.1))
                } else {
                    (a.0.max(b.0), from.1)
                };
                out.push(Edge { from, to });
            }
        }
        at = to;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Anchor, Pen, Stroke};
    use crate::ink::{BLACK, SMALL_MM};
    use crate::lettering::Weight;

    #[test]
    fn a_text_over_a_frame_is_found_and_one_inside_is_not() {
        let mut pen = Pen::new();
        pen.stroke(
            Shape::rect(Rect::new(10.0, 10.0, 30.0, 12.0)),
            Stroke::solid(BLACK, 0.3),
        );
        let edges = edges_of(&pen.marks);
        assert_eq!(edges.len(), 4);
        let crossed = |r: Rect| edges.iter().filter(|e| e.crosses(&r)).count();
        assert_eq!(crossed(Rect::new(12.0, 12.0, 20.0, 5.0)), 0);
        assert_eq!(crossed(Rect::new(32.0, 12.0, 20.0, 5.0)), 1);
        assert_eq!(crossed(Rect::new(12.0, 8.0, 20.0, 5.0)), 1);
        assert_eq!(crossed(Rect::new(50.0, 12.0, 20.0, 5.0)), 0);
    }

    fn page(texts: &[(&str, f64)]) -> Drawing {
        let mut pen = Pen::new();
        for (t, x) in texts {
            pen.text(*t, (*x, 20.0), SMALL_MM, Weight::Regular, Anchor::Start);
        }
        Drawing {
            width: 100.0,
            height: 40.0,
            title: String::new(),
            language: "en".into(),
            marks: pen.marks,
        }
    }

    #[test]
    fn colliding_and_straying_texts_are_found() {
        assert!(page(&[("12", 5.0), ("13", 30.0)]).text_faults().is_empty());
        assert_eq!(
            page(&[("Stripe", 5.0), ("13", 10.0)]).text_faults().len(),
            1
        );
        assert_eq!(page(&[("Stripe", 95.0)]).text_faults().len(), 1);
        assert_eq!(page(&[("2  3", 5.0)]).text_faults().len(), 1);
    }
}
