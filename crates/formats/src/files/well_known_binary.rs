//! Well-known binary (ISO 13249-3, OGC 06-103r4): points, lines and areas out of untrusted bytes.

use crate::course::feature::{Geometry, Ring};
use crate::course::limits::MAX_POSITIONS;

/// Deepest nesting of collections.
const MAX_DEPTH: usize = 8;

/// Reads one geometry; the error says what is wrong.
pub(super) fn read(bytes: &[u8]) -> Result<Vec<Geometry>, &'static str> {
    let mut reader = Reader { bytes, at: 0 };
    let mut out = Vec::new();
    reader.geometry(0, &mut out)?;
    Ok(out)
}

struct Reader<'a> {
    bytes: &'a [u8],
    at: usize,
}

const SHORT: &str = "a geometry is shorter than it says";

impl Reader<'_> {
    fn take<const N: usize>(&mut self) -> Result<[u8; N], &'static str> {
        let b = self.bytes.get(self.at..self.at + N).ok_or(SHORT)?;
        self.at += N;
        b.try_into().map_err(|_| SHORT)
    }

    fn whole(&mut self, little: bool) -> Result<u32, &'static str> {
        let b = self.take::<4>()?;
        Ok(if little {
            u32::from_le_bytes(b)
        } else {
            u32::from_be_bytes(b)
        })
    }

    /// A count of things of at least `each` bytes: no more than the bytes that are left can hold.
    fn count(&mut self, little: bool, each: usize) -> Result<usize, &'static str> {
        let n = self.whole(little)? as usize;
        let left = self.bytes.len() - self.at;
        if n > left / each || n > MAX_POSITIONS {
            return Err(SHORT);
        }
        Ok(n)
    }

    fn position(&mut self, little: bool, numbers: usize) -> Result<[f64; 2], &'static str> {
        let mut out = [0.0; 2];
        for i in 0..numbers {
            let b = self.take::<8>()?;
            let v = if little {
                f64::from_le_bytes(b)
            } else {
                f64::from_be_bytes(b)
            };
            if let Some(slot) = out.get_mut(i) {
                *slot = v;
            }
        }
        Ok(out)
    }

    fn line(&mut self, little: bool, numbers: usize) -> Result<Ring, &'static str> {
        let n = self.count(little, 8 * numbers)?;
        (0..n).map(|_| self.position(little, numbers)).collect()
    }

    fn geometry(&mut self, depth: usize, out: &mut Vec<Geometry>) -> Result<(), &'static str> {
        if depth > MAX_DEPTH {
            return Err("geometries are nested too deep");
        }
        let little = match self.take::<1>()? {
            [0] => false,
            [1] => true,
            _ => return Err("a geometry has no byte order"),
        };
        let kind = self.whole(little)?;
        // Heights and measures are counted in thousands by the standard, and by some writers in
        // the highest bits.
        let high = kind & 0xe000_0000;
        let plain = (kind & 0x1fff_ffff) % 1000;
        let numbers = match (kind & 0x1fff_ffff) / 1000 {
            0 => 2 + usize::from(high & 0x8000_0000 != 0) + usize::from(high & 0x4000_0000 != 0),
            1 | 2 => 3,
            3 => 4,
            _ => return Err("a geometry has an unknown type"),
        };
        if high & 0x2000_0000 != 0 {
            self.whole(little)?;
        }
        match plain {
            1 => {
                let p = self.position(little, numbers)?;
                // An empty point is one without numbers.
                if !(p[0].is_nan() && p[1].is_nan()) {
                    out.push(Geometry::Points(vec![p]));
                }
            }
            2 => out.push(Geometry::Lines(vec![self.line(little, numbers)?])),
            3 => {
                let n = self.count(little, 4)?;
                let rings: Vec<Ring> = (0..n)
                    .map(|_| self.line(little, numbers))
                    .collect::<Result<_, _>>()?;
                if !rings.is_empty() {
                    out.push(Geometry::Polygons(vec![rings]));
                }
            }
            4..=7 => {
                let n = self.count(little, 5)?;
                let mut members = Vec::new();
                for _ in 0..n {
                    self.geometry(depth + 1, &mut members)?;
                }
                gather(members, out);
            }
            8..=15 => return Err("a geometry has curves, which are not read"),
            _ => return Err("a geometry has an unknown type"),
        }
        Ok(())
    }
}

/// Members of one kind in a row are one geometry of several parts.
fn gather(members: Vec<Geometry>, out: &mut Vec<Geometry>) {
    for m in members {
        match (out.last_mut(), m) {
            (Some(Geometry::Polygons(a)), Geometry::Polygons(b)) => a.extend(b),
            (Some(Geometry::Lines(a)), Geometry::Lines(b)) => a.extend(b),
            (Some(Geometry::Points(a)), Geometry::Points(b)) => a.extend(b),
            (_, m) => out.push(m),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lying_counts_and_deep_nesting_are_refused() {
        let mut line = vec![1, 2, 0, 0, 0, 255, 255, 255, 255];
        assert_eq!(read(&line).unwrap_err(), SHORT);
        line.truncate(3);
        assert_eq!(read(&line).unwrap_err(), SHORT);
        let deep: Vec<u8> = [1, 7, 0, 0, 0, 1, 0, 0, 0].repeat(20);
        assert!(read(&deep).unwrap_err().contains("nested"));
        assert!(read(&[1, 9, 0, 0, 0]).unwrap_err().contains("curves"));
        assert!(read(&[7]).is_err() && read(&[]).is_err());
    }

    #[test]
    fn heights_are_left_out_however_they_are_counted() {
        for kind in [1001_u32, 0x8000_0001] {
            let mut point = vec![1];
            point.extend(kind.to_le_bytes());
            for v in [5.0_f64, 45.0, 700.0] {
                point.extend(v.to_le_bytes());
            }
            assert_eq!(read(&point).unwrap(), [Geometry::Points(vec![[5.0, 45.0]])]);
        }
    }
}
