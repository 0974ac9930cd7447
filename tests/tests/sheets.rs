//! The operator sheets of the sample course: texts kept apart, true scale, hostile names, size.

use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_core::{
    Course, CrossSets, Fairway, Guide, Heading, LoopTrain, Mow, Mower, Pattern, PatternKind, Sense,
    Settings, plan,
};
use crossgrain_metrics::{Measures, measure};
use crossgrain_render::book::{self, BookEntry, BookInput};
use crossgrain_render::crew::ForCrew;
use crossgrain_render::drawing::{Drawing, Mark};
use crossgrain_render::ink::SMALL_MM;
use crossgrain_render::overview;
use crossgrain_render::page::Paper;
use crossgrain_render::sheet::{SheetInput, left_of, sheet};
use crossgrain_render::words::{Language, Words};
use crossgrain_render::{press, svg_page};
use geo::Area;
use std::path::Path;
use std::sync::OnceLock;

struct Planned {
    fairway: usize,
    mow: Mow,
    measures: Measures,
}

struct Sample {
    course: Course,
    mower: Mower,
    plans: Vec<Planned>,
}

/// The sample course, planned once for all tests of this file: stripes everywhere, loop trains on
/// the longest, the nearest to water and the one with a neck, every other pattern once.
fn sample() -> &'static Sample {
    static SAMPLE: OnceLock<Sample> = OnceLock::new();
    SAMPLE.get_or_init(|| {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../samples");
        let course = crossgrain_formats::course::open(&root.join("quillback.geojson"))
            .unwrap()
            .course;
        let mower = crossgrain_formats::mower::open(&root.join("light-five.json")).unwrap();
        let stripes = Pattern::Stripes {
            heading: Heading::Fewest,
        };
        let loops = Pattern::Loops(LoopTrain::new(21.0 * 0.3048, Sense::Clockwise));
        let cross = Pattern::Cross {
            heading: Heading::Clock {
                from_h: 10.0,
                to_h: 4.0,
            },
            angle_deg: 90.0,
            sets: CrossSets::Both,
        };
        let contour = Pattern::Contour {
            guide: Guide::CentreLine,
        };
        let half = Pattern::HalfAndHalf {
            heading: Heading::Along,
        };
        let rings = Pattern::Rings {
            sense: Sense::CounterClockwise,
        };
        let mut jobs: Vec<(usize, Pattern)> =
            (0..course.fairways.len()).map(|i| (i, stripes)).collect();
        jobs.extend([(8, loops), (7, loops), (6, loops)]);
        jobs.extend([(1, cross), (5, contour), (1, half), (2, rings)]);
        let plan_one = |job: &(usize, Pattern)| {
            let fairway = &course.fairways[job.0];
            let mow = plan(fairway, &mower, &Settings::new(job.1)).unwrap();
            let measures = measure(fairway, &mower, &mow);
            Planned {
                fairway: job.0,
                mow,
                measures,
            }
        };
        let (a, b) = jobs.split_at(jobs.len() / 2);
        let plans = std::thread::scope(|s| {
            let other = s.spawn(|| a.iter().map(plan_one).collect::<Vec<_>>());
            let mine: Vec<Planned> = b.iter().map(plan_one).collect();
            let mut all = other.join().unwrap();
            all.extend(mine);
            all
        });
        Sample {
            course,
            mower,
            plans,
        }
    })
}

fn draw(s: &Sample, p: &Planned, fairway: &Fairway, paper: Paper, words: &Words) -> Drawing {
    let pages = sheet(&SheetInput::new(
        &s.course,
        fairway,
        &s.mower,
        &p.mow,
        &p.measures,
        paper,
        words,
    ));
    pages.into_iter().next().expect("a sheet has a page")
}

fn groups<'a>(marks: &'a [Mark], class: &str, out: &mut Vec<&'a [Mark]>) {
    for m in marks {
        if let Mark::Group {
            class: c, marks, ..
        } = m
        {
            if *c == class {
                out.push(marks);
            }
            groups(marks, class, out);
        }
    }
}

#[test]
fn no_two_texts_meet_and_none_leaves_the_page() {
    let s = sample();
    let mut pages = 0;
    for p in &s.plans {
        let fairway = &s.course.fairways[p.fairway];
        let left = left_of(fairway, &s.mower, &p.mow, &p.measures);
        for paper in [Paper::Letter, Paper::A4] {
            for language in Language::ALL {
                for units in [UnitSystem::Us, UnitSystem::Metric] {
                    let words = Words::of(language, units);
                    let drawn = sheet(&SheetInput {
                        left: Some(&left),
                        ..SheetInput::new(
                            &s.course,
                            fairway,
                            &s.mower,
                            &p.mow,
                            &p.measures,
                            paper,
                            &words,
                        )
                    });
                    assert!(!drawn.is_empty());
                    for page in &drawn {
                        assert_eq!(page.text_faults(), Vec::<String>::new(), "{}", page.title);
                        let mut maps = Vec::new();
                        groups(&page.marks, "map", &mut maps);
                        assert!(!maps.is_empty(), "no map on {} {paper:?}", page.title);
                        for t in page.texts() {
                            assert!(t.size >= SMALL_MM - 1e-9, "'{}' is too small", t.content);
                            // Nothing of the sample is so long that a box would have to cut it.
                            assert!(!t.content.contains('…'), "'{}' is cut", t.content);
                        }
                    }
                    pages += 1;
                }
            }
        }
    }
    assert_eq!(pages, s.plans.len() * 8);
}

/// Every fairway stands in the overview's table, or the table says how many do not.
#[test]
fn the_overview_loses_no_fairway_without_a_word() {
    let s = sample();
    let stripes = &s.plans[..s.course.fairways.len()];
    // Many fairways with long names, to fill any table.
    let mut many = s.course.clone();
    many.fairways = (0..40)
        .map(|i| {
            let mut f = s.course.fairways[i % s.course.fairways.len()].clone();
            f.rename(format!("{} of the long meadow", i + 1));
            f
        })
        .collect();
    // One fairway that runs north makes a page that stands.
    let mut one = s.course.clone();
    one.fairways = vec![s.course.fairways[1].clone()];
    for (course, rows) in [
        (&s.course, s.plans.iter().map(|p| (p.fairway, p)).collect()),
        (&s.course, stripes.iter().map(|p| (p.fairway, p)).collect()),
        (&many, (0..40).map(|i| (i, &stripes[i % 9])).collect()),
        (&one, vec![(0, &stripes[1])]),
    ] {
        let rows: Vec<(usize, &Planned)> = rows;
        let planned: Vec<overview::Planned> = rows
            .iter()
            .map(|(f, p)| overview::Planned {
                fairway: &course.fairways[*f],
                mow: &p.mow,
                measures: &p.measures,
            })
            .collect();
        for paper in Paper::ALL {
            for language in Language::ALL {
                let words = Words::of(language, UnitSystem::Metric);
                let page = overview::overview(course, &planned, paper, &words);
                assert_eq!(page.text_faults(), Vec::<String>::new(), "{paper:?}");
                let texts = page.texts();
                // Numbers on the map are larger than the table's.
                let listed = |name: &str| {
                    texts.iter().any(|t| {
                        // A long name is cut in its middle.
                        let same = match t.content.split_once('…') {
                            Some((a, b)) => name.starts_with(a.trim()) && name.ends_with(b.trim()),
                            None => t.content == name,
                        };
                        same && t.size < 6.0
                    })
                };
                let mut names: Vec<&str> = planned.iter().map(|p| p.fairway.name()).collect();
                names.sort_unstable();
                names.dedup();
                let missing = names.iter().filter(|n| !listed(n)).count();
                let counted = texts.iter().find_map(|t| t.content.strip_prefix("+ "));
                match counted {
                    None => assert_eq!(missing, 0, "{paper:?} {language:?}"),
                    Some(n) => assert!(
                        n.parse::<usize>().unwrap() >= missing.max(1),
                        "{missing} are missing and {n} told, {paper:?} {language:?}: {:?}",
                        texts.iter().map(|t| &t.content).collect::<Vec<_>>()
                    ),
                }
            }
        }
    }
}

/// Rings of a path drawn by `M`, `m`, `l` and `z`, as the outline is.
fn rings(d: &str) -> Vec<Vec<(f64, f64)>> {
    let mut numbers: Vec<(char, Vec<f64>)> = Vec::new();
    let mut word = String::new();
    let flush = |word: &mut String, numbers: &mut Vec<(char, Vec<f64>)>| {
        if !word.is_empty() {
            numbers
                .last_mut()
                .unwrap()
                .1
                .push(word.parse::<f64>().unwrap());
            word.clear();
        }
    };
    for c in d.chars() {
        match c {
            'M' | 'm' | 'l' | 'z' => {
                flush(&mut word, &mut numbers);
                numbers.push((c, Vec::new()));
            }
            '-' => {
                flush(&mut word, &mut numbers);
                word.push(c);
            }
            ' ' => flush(&mut word, &mut numbers),
            '.' if word.contains('.') => {
                flush(&mut word, &mut numbers);
                word.push(c);
            }
            _ => word.push(c),
        }
    }
    flush(&mut word, &mut numbers);
    let mut out: Vec<Vec<(f64, f64)>> = Vec::new();
    for (letter, values) in numbers {
        match letter {
            'M' => out.push(vec![(values[0], values[1])]),
            // After `z` the pen is where the ring began.
            'm' => {
                let from = out.last().unwrap()[0];
                out.push(vec![(from.0 + values[0], from.1 + values[1])]);
            }
            'l' => {
                for pair in values.chunks(2) {
                    let ring = out.last_mut().unwrap();
                    let last = *ring.last().unwrap();
                    ring.push((last.0 + pair[0], last.1 + pair[1]));
                }
            }
            _ => {}
        }
    }
    out
}

fn ring_area(ring: &[(f64, f64)]) -> f64 {
    let n = ring.len();
    let mut sum = 0.0;
    for i in 0..n {
        let (a, b) = (ring[i], ring[(i + 1) % n]);
        sum += a.0 * b.1 - b.0 * a.1;
    }
    (sum / 2.0).abs()
}

/// The ratio printed on the sheet.
fn printed_ratio(page: &Drawing) -> f64 {
    page.texts()
        .iter()
        .find_map(|t| t.content.strip_prefix("Scale 1:"))
        .expect("a scale")
        .replace(',', "")
        .parse()
        .unwrap()
}

#[test]
fn the_outline_is_at_the_scale_that_the_sheet_says() {
    let s = sample();
    let words = Words::of(Language::English, UnitSystem::Metric);
    for p in s.plans.iter().take(s.course.fairways.len()) {
        let fairway = &s.course.fairways[p.fairway];
        let page = draw(s, p, fairway, Paper::A4, &words);
        let ratio = printed_ratio(&page);
        let true_m2 = fairway.outline().unsigned_area();
        // In the SVG: user units are millimetres, because width, height and viewBox agree.
        let text = svg_page::text(&page);
        let (w, h) = (page.width, page.height);
        assert!(text.contains(&format!("viewBox=\"0 0 {w} {h}\"")));
        assert!(text.contains(&format!("width=\"{w}mm\"")));
        let at = text.find("<g class=\"outline\">").unwrap();
        let d = text[at..].split_once(" d=\"").unwrap().1;
        let d = d.split_once('"').unwrap().0;
        // No outline of the sample has a hole, so the rings add up.
        let mm2: f64 = rings(d).iter().map(|r| ring_area(r)).sum();
        let m2 = mm2 * (ratio / 1000.0).powi(2);
        // Lengths within 0.2% are areas within 0.4%.
        assert!(
            (m2 / true_m2 - 1.0).abs() < 0.004,
            "{}: {m2} m2 in the SVG, {true_m2} m2 on the ground",
            fairway.name()
        );
        // In the PDF: 72 points are 25.4 mm.
        let points = pdf_outline(&press::pdf(std::slice::from_ref(&page), "one"));
        let pt2: f64 = points.iter().map(|r| ring_area(r)).sum();
        let m2 = pt2 * (25.4 / 72.0 * ratio / 1000.0).powi(2);
        assert!(
            (m2 / true_m2 - 1.0).abs() < 0.004,
            "{}: {m2} m2 in the PDF, {true_m2} m2 on the ground",
            fairway.name()
        );
    }
}

/// The first outline of a one-page PDF, in points.
fn pdf_outline(pdf: &[u8]) -> Vec<Vec<(f64, f64)>> {
    let mut at = 0;
    while let Some(i) = find(&pdf[at..], b"stream\n") {
        let start = at + i + 7;
        let end = start + find(&pdf[start..], b"\nendstream").unwrap();
        at = end + 10;
        let Ok(bytes) = miniz_oxide::inflate::decompress_to_vec_zlib(&pdf[start..end]) else {
            continue;
        };
        let text = String::from_utf8_lossy(&bytes);
        let Some(i) = text.find("/outline BMC") else {
            continue;
        };
        // The page's own matrix comes first: scale, no turn, y turned over.
        let matrix: Vec<f64> = text
            .split_whitespace()
            .take(6)
            .map(|n| n.parse().unwrap())
            .collect();
        assert_eq!(text.split_whitespace().nth(6), Some("cm"));
        let (mut out, mut stack): (Vec<Vec<(f64, f64)>>, Vec<f64>) = (Vec::new(), Vec::new());
        for word in text[i..].split_whitespace() {
            match word {
                "EMC" => return out,
                "m" | "l" => {
                    let n = stack.len();
                    let p = (stack[n - 2] * matrix[0], stack[n - 1] * matrix[3]);
                    if word == "m" {
                        out.push(vec![p]);
                    } else {
                        out.last_mut().unwrap().push(p);
                    }
                    stack.clear();
                }
                _ => match word.parse() {
                    Ok(v) => stack.push(v),
                    Err(_) => stack.clear(),
                },
            }
        }
    }
    panic!("no outline in the PDF");
}

fn find(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).position(|w| w == what)
}

const HOSTILE: [&str; 6] = [
    "</text><script>alert(1)</script>",
    "\"'><img src=x onerror=alert(1)> &lt; &amp;",
    "\u{1F3CC}\u{FE0F}\u{200D}\u{2642}\u{FE0F} \u{26F3}",
    "\u{645}\u{631}\u{62D}\u{628}\u{627} \u{627}\u{644}\u{645}\u{644}\u{639}\u{628}",
    "a\u{0}b\u{1b}[31mc\u{202e}d\u{ffff}e\u{7f}",
    "",
];

#[test]
fn hostile_names_neither_break_a_sheet_nor_run() {
    let s = sample();
    let p = &s.plans[2];
    let long = "0123456789".repeat(1000);
    for name in HOSTILE.into_iter().chain([long.as_str()]) {
        let mut course = s.course.clone();
        course.name = name.to_string();
        course.fairways[p.fairway].rename(name);
        let mut mower = s.mower.clone();
        mower.name = name.to_string();
        let fairway = &course.fairways[p.fairway];
        for language in Language::ALL {
            let words = Words::of(language, UnitSystem::Us);
            let pages = sheet(&SheetInput {
                date: Some(name),
                ..SheetInput::new(
                    &course,
                    fairway,
                    &mower,
                    &p.mow,
                    &p.measures,
                    Paper::Letter,
                    &words,
                )
            });
            for page in &pages {
                assert_eq!(page.text_faults(), Vec::<String>::new(), "{name:?}");
            }
            let svg = svg_page::text(&pages[0]);
            assert!(!svg.contains("<script") && !svg.contains("<img"));
            assert!(svg.chars().all(|c| !c.is_control() || c == '\n'));
            assert!(!svg.contains('\u{202e}') && !svg.contains('\u{ffff}'));
            assert!(svg.len() < 400_000);
            assert!(press::pdf(&pages, name).starts_with(b"%PDF"));
        }
        let entries = [BookEntry {
            fairway,
            mow: &p.mow,
            measures: &p.measures,
            left: None,
            pages: None,
        }];
        let html = book::html(&BookInput {
            course: &course,
            mower: &mower,
            entries: &entries,
            paper: Paper::A4,
            units: UnitSystem::Metric,
            language: Language::Spanish,
            height_of_cut_m: None,
            date: None,
            crew: ForCrew::default(),
        });
        assert_eq!(html.matches("<script").count(), 2, "{name:?}");
        assert_eq!(html.matches("</script").count(), 2, "{name:?}");
        assert!(!html.contains("<img"));
        // Nothing is fetched: the only addresses are names of namespaces.
        for address in html.split("http").skip(1) {
            assert!(
                address.starts_with("://www.w3.org/") || address.starts_with("-equiv"),
                "http{}",
                &address.chars().take(40).collect::<String>()
            );
        }
        let data = html
            .split_once("id=\"book\">")
            .and_then(|p| p.1.split_once("</script>"))
            .unwrap()
            .0;
        let data: serde_json::Value = serde_json::from_str(data).unwrap();
        let counts = data["mows"][0]["pages"].as_array().unwrap();
        let all: u64 = counts.iter().map(|n| n.as_u64().unwrap()).sum();
        assert_eq!(counts.len(), 2);
        assert_eq!(
            data["mows"][0]["sheets"].as_array().unwrap().len() as u64,
            all
        );
    }
}

#[test]
fn a_loop_train_over_a_hectare_is_a_small_file() {
    let s = sample();
    let p = s
        .plans
        .iter()
        .filter(|p| p.mow.settings().lane_spacing_m.is_some())
        .max_by(|a, b| a.measures.fairway_m2.total_cmp(&b.measures.fairway_m2))
        .unwrap();
    assert!(
        p.measures.fairway_m2 > 10_000.0,
        "{} m2",
        p.measures.fairway_m2
    );
    let words = Words::of(Language::English, UnitSystem::Us);
    let page = draw(s, p, &s.course.fairways[p.fairway], Paper::Letter, &words);
    let bytes = svg_page::text(&page).len();
    assert!(bytes < 300_000, "{bytes} bytes");
}

#[test]
fn the_same_sheet_gives_the_same_bytes() {
    let s = sample();
    let p = &s.plans[0];
    let words = Words::of(Language::Spanish, UnitSystem::Metric);
    let fairway = &s.course.fairways[p.fairway];
    let (a, b) = (
        draw(s, p, fairway, Paper::A3, &words),
        draw(s, p, fairway, Paper::A3, &words),
    );
    assert_eq!(svg_page::text(&a), svg_page::text(&b));
    assert_eq!(press::pdf(&[a], "x"), press::pdf(&[b], "x"));
}

/// A second set is painted over the first one's grass in a cross cut alone: the middle of rings, and
/// stripes on the next part of a fairway, have grass of their own, which must not look unmown.
#[test]
fn only_a_cross_cut_paints_one_set_over_another() {
    let s = sample();
    let words = Words::of(Language::English, UnitSystem::Us);
    let (mut over_cross, mut own_ground) = (0, 0);
    for p in &s.plans {
        let fairway = &s.course.fairways[p.fairway];
        let page = draw(s, p, fairway, Paper::Letter, &words);
        let mut over = Vec::new();
        groups(&page.marks, "over", &mut over);
        let second = p.mow.steps().iter().any(|step| step.set > 0);
        let cross = p.mow.pattern() == PatternKind::Cross;
        assert_eq!(!over.is_empty(), cross, "{:?}", p.mow.pattern());
        over_cross += usize::from(cross);
        own_ground += usize::from(second && !cross);
    }
    assert!(
        over_cross > 0 && own_ground > 0,
        "{over_cross} {own_ground}"
    );
}
