//! Ways on the page: what an operator who holds the sheet with the green up calls left and right.

use geo_types::Coord;

/// A way on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PageWay {
    /// To the right.
    Right,
    /// To the left.
    Left,
    /// Up, toward the green.
    Up,
    /// Down, toward the tee.
    Down,
}

/// Cosine of 60 degrees: a way across that is no nearer than this to the page's width is told as
/// up or down, and a line that is no nearer than this to its height as right or left.
const NEAR: f64 = 0.5;

impl PageWay {
    /// The way lines go on across the page: right or left unless the lines lie across it.
    pub fn across(v: Coord<f64>, up_rad: f64) -> Option<Self> {
        let (right, up) = parts(v, up_rad)?;
        Some(if right.abs() >= NEAR {
            sideways(right)
        } else {
            upright(up)
        })
    }

    /// The way a line is driven: up or down unless it lies across the page.
    pub fn along(v: Coord<f64>, up_rad: f64) -> Option<Self> {
        let (right, up) = parts(v, up_rad)?;
        Some(if up.abs() >= NEAR {
            upright(up)
        } else {
            sideways(right)
        })
    }

    /// The way back.
    pub fn back(self) -> Self {
        match self {
            PageWay::Right => PageWay::Left,
            PageWay::Left => PageWay::Right,
            PageWay::Up => PageWay::Down,
            PageWay::Down => PageWay::Up,
        }
    }

    /// The word in the keys of the words files.
    pub fn key(self) -> &'static str {
        match self {
            PageWay::Right => "right",
            PageWay::Left => "left",
            PageWay::Up => "up",
            PageWay::Down => "down",
        }
    }
}

/// Cosines of a way with the page's right and up; none for no way at all.
fn parts(v: Coord<f64>, up_rad: f64) -> Option<(f64, f64)> {
    let len = v.x.hypot(v.y);
    // A millimetre: two lines on one spot lie on no side of each other.
    (len > 1e-3).then(|| {
        let (s, c) = up_rad.sin_cos();
        ((v.x * s - v.y * c) / len, (v.x * c + v.y * s) / len)
    })
}

fn sideways(right: f64) -> PageWay {
    if right >= 0.0 {
        PageWay::Right
    } else {
        PageWay::Left
    }
}

fn upright(up: f64) -> PageWay {
    if up >= 0.0 {
        PageWay::Up
    } else {
        PageWay::Down
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo_types::coord;

    #[test]
    fn sides_are_those_of_a_page_with_the_green_up() {
        // A hole that runs east: east is up, south is right.
        assert_eq!(
            PageWay::across(coord! { x: 0.0, y: -3.0 }, 0.0),
            Some(PageWay::Right)
        );
        assert_eq!(
            PageWay::along(coord! { x: -3.0, y: 0.1 }, 0.0),
            Some(PageWay::Down)
        );
        // Lines that lie across the page go on up or down it.
        assert_eq!(
            PageWay::across(coord! { x: 3.0, y: -1.0 }, 0.0),
            Some(PageWay::Up)
        );
        assert_eq!(PageWay::across(coord! { x: 0.0, y: 0.0 }, 0.0), None);
    }
}
