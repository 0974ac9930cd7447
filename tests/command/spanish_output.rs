//! `--language es`: no English is left in any file or line that speaks to the crew. What speaks to
//! whoever plans (tables, notes and warnings on the terminal, JSON and CSV) is English.

#[path = "../src/strangers.rs"]
#[allow(dead_code)] // pages as drawings are looked at elsewhere
mod strangers;
mod support;

use std::fs;
use std::path::Path;
use strangers::Strangers;
use support::{code, run, stderr, stdout};

/// The sample course under a name that is no English, with what the crew is told.
fn course(folder: &Path) {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples/quillback.geojson");
    let text = fs::read_to_string(sample).expect("the sample");
    let mut v: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    v["name"] = "Campo".into();
    v["emergency"] = "911".into();
    v["radio_channel"] = 4.into();
    v["first_tee_time"] = "6:00".into();
    // One head where the third fairway begins.
    let at = (v["features"].as_array().expect("features").iter())
        .find(|f| f["properties"]["role"] == "fairway" && f["properties"]["name"] == "3")
        .map(|f| f["geometry"]["coordinates"][0][0].clone())
        .expect("the third fairway");
    let head = serde_json::json!({
        "type": "Feature",
        "properties": {"role": "sprinkler-head"},
        "geometry": {"type": "Point", "coordinates": at},
    });
    v["features"].as_array_mut().expect("features").push(head);
    fs::write(folder.join("c.geojson"), v.to_string()).expect("the course");
}

/// The texts of an SVG page.
fn texts(svg: &str) -> Vec<String> {
    let mut out = Vec::new();
    for part in svg.split("<text").skip(1) {
        let Some((_, rest)) = part.split_once('>') else {
            continue;
        };
        let content = rest.split("</text>").next().unwrap_or_default();
        // A text may have spans.
        let plain: String = content
            .split('<')
            .map(|p| p.split_once('>').map_or(p, |p| p.1))
            .collect();
        out.push(plain);
    }
    if let Some((_, rest)) = svg.split_once("<title>") {
        out.extend(rest.split("</title>").next().map(str::to_string));
    }
    out
}

/// What is English in the pages of a folder, and how many texts there are.
fn of_folder(folder: &Path, strangers: &Strangers) -> (Vec<String>, usize) {
    let (mut found, mut count) = (Vec::new(), 0);
    let mut files: Vec<_> = fs::read_dir(folder)
        .expect("the folder")
        .map(|f| f.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "svg"))
        .collect();
    files.sort();
    for file in files {
        let svg = fs::read_to_string(&file).expect("a page");
        for t in texts(&svg) {
            count += 1;
            let english = strangers.of(&t);
            if !english.is_empty() {
                found.push(format!("{}: {english:?} in '{t}'", file.display()));
            }
        }
    }
    (found, count)
}

/// What is English in lines of text.
fn of_lines<'t>(
    lines: impl Iterator<Item = &'t str>,
    strangers: &Strangers,
) -> (Vec<String>, usize) {
    let (mut found, mut count) = (Vec::new(), 0);
    for line in lines {
        count += 1;
        let english = strangers.of(line);
        if !english.is_empty() {
            found.push(format!("{english:?} in '{line}'"));
        }
    }
    (found, count)
}

/// A crew that reads Spanish, at a folder with the course.
struct Crew<'a> {
    at: &'a Path,
    strangers: Strangers,
}

impl Crew<'_> {
    /// What the command tells when it is asked so.
    fn go(&self, args: &[&str]) -> String {
        let es = ["--language", "es", "--units", "metric", "--paper", "a4"];
        let all: Vec<&str> = args.iter().chain(&es).copied().collect();
        let o = run(self.at, &all);
        assert!(matches!(code(&o), 0 | 1), "{args:?}: {}", stderr(&o));
        stdout(&o)
    }
}

fn check(what: &str, (found, count): (Vec<String>, usize), least: usize) {
    assert!(count >= least, "{what}: {count} texts");
    assert!(found.is_empty(), "{what}: {found:#?}");
}

#[test]
fn no_english_is_left_in_what_the_crew_reads() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    course(folder.path());
    let crew = Crew {
        at: folder.path(),
        strangers: Strangers::in_spanish(),
    };
    sheets_and_drive(&crew);
    book(&crew);
    size_chart(&crew);
    season(&crew);
    week(&crew);
}

/// Sheets, overview and the drive on the terminal.
fn sheets_and_drive(crew: &Crew<'_>) {
    let told = crew.go(&[
        "plan",
        "c.geojson",
        "--only",
        "3,8",
        "--pattern",
        "stripes,loops,rings",
        "--book",
        "--out",
        "plan",
    ]);
    check(
        "sheets",
        of_folder(&crew.at.join("plan"), &crew.strangers),
        150,
    );
    let drive = told.lines().take_while(|l| !l.starts_with("fairway"));
    check("the drive", of_lines(drive, &crew.strangers), 12);
}

/// The book: its Spanish words, and the sentences of each step in Spanish.
fn book(crew: &Crew<'_>) {
    let html = fs::read_to_string(crew.at.join("plan/book.html")).expect("the book");
    let data = html
        .split_once("id=\"book\">")
        .and_then(|p| p.1.split_once("</script>"))
        .expect("the data")
        .0;
    let book: serde_json::Value = serde_json::from_str(data).expect("JSON");
    let spanish = (book["languages"].as_array().expect("languages").iter())
        .position(|l| l == "es")
        .expect("Spanish");
    let mut said: Vec<String> = Vec::new();
    let words = book["words"][spanish].as_object().expect("words");
    said.extend(
        words
            .values()
            .map(|w| w.as_str().unwrap_or_default().to_string()),
    );
    let list = |v: &serde_json::Value| -> Vec<String> {
        let all = v.as_array().into_iter().flatten();
        all.filter_map(|t| t.as_str().map(str::to_string)).collect()
    };
    said.extend(list(&book["warnings"][spanish]));
    for mow in book["mows"].as_array().expect("mows") {
        for step in mow["steps"].as_array().expect("steps") {
            said.push(step[2][spanish].as_str().expect("a sentence").to_string());
        }
        for row in mow["figures"][spanish].as_array().expect("figures") {
            said.extend(list(row));
        }
    }
    check(
        "the book",
        of_lines(said.iter().map(String::as_str), &crew.strangers),
        60,
    );
}

fn size_chart(crew: &Crew<'_>) {
    crew.go(&[
        "size",
        "c.geojson",
        "--only",
        "3",
        "--decks",
        "84in,100in",
        "--out",
        "size",
    ]);
    check(
        "size chart",
        of_folder(&crew.at.join("size"), &crew.strangers),
        20,
    );
}

/// Season pages and both calendars: frost, wet days, scalping and a closed day are in it.
fn season(crew: &Crew<'_>) {
    fs::write(
        crew.at.join("rules.json"),
        r#"{"season": {"from": "2027-04-05", "to": "2027-07-30"},
            "closed": [{"date": "2027-05-31", "why": "torneo"}],
            "weather": {"frost_days": ["2027-04-09"], "wet_days": ["2027-05-12"], "frost": "later",
                        "later_min": 60, "wet": "next-day", "within_days": 2},
            "crew": {"mowers": 2, "hours_per_day": 5, "start": "05:30", "between_min": 4}}"#,
    )
    .expect("the rules");
    fs::write(
        crew.at.join("log.csv"),
        "date,fairway,scalping,note\n2027-05-03,3,severe,\n2027-06-07,8,slight,\n",
    )
    .expect("the log");
    for events in ["days", "visits"] {
        crew.go(&[
            "season",
            "c.geojson",
            "--only",
            "3,8",
            "--rules",
            "rules.json",
            "--observations",
            "log.csv",
            "--calendar",
            events,
            "--out",
            "season",
        ]);
        let calendar =
            fs::read_to_string(crew.at.join("season/calendar.ics")).expect("the calendar");
        let whole = calendar.replace("\r\n ", "").replace("\\n", " ");
        let lines = (whole.lines()).filter_map(|l| {
            let (key, text) = l.split_once(':')?;
            matches!(key, "SUMMARY" | "DESCRIPTION" | "NAME").then_some(text)
        });
        check("calendar", of_lines(lines, &crew.strangers), 90);
    }
    check(
        "season pages",
        of_folder(&crew.at.join("season"), &crew.strangers),
        600,
    );
}

/// Boards and sheets of a week of that season.
fn week(crew: &Crew<'_>) {
    crew.go(&[
        "day",
        "c.geojson",
        "season/programme.json",
        "--week",
        "2027-W15",
        "--out",
        "day",
    ]);
    check(
        "boards and sheets of a week",
        of_folder(&crew.at.join("day"), &crew.strangers),
        150,
    );
    // What the file tells the crew stands on them.
    let pages: Vec<String> = fs::read_dir(crew.at.join("day"))
        .expect("the folder")
        .map(|f| f.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "svg"))
        .map(|p| fs::read_to_string(p).expect("a page"))
        .collect();
    for said in ["Emergencia: 911.", "Canal de radio 4."] {
        assert!(
            pages.iter().all(|p| texts(p).join(" ").contains(said)),
            "{said}"
        );
    }
    assert!(pages.iter().any(|p| p.contains("aspersor")));
}
