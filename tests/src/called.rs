//! Which functions of the workspace a command can come to, read from the sources.
//!
//! A plain reading, not a compiler's: from `main` of the command on, a function is reached when its
//! name stands in the body of one that is reached. Test modules, comments and text in quotes are
//! left out. Names that several functions share are taken together, so the reading can call a
//! function reached that is not, but never the other way round.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The functions of the workspace's crates.
#[derive(Debug, Default)]
pub struct Code {
    /// Names that stand in the bodies of the functions of a name.
    names: BTreeMap<String, BTreeSet<String>>,
    /// Functions that are reached.
    reached: BTreeSet<String>,
}

impl Code {
    /// Reads the sources of all crates under a folder; the command is the crate `cli`.
    pub fn of(crates: &Path) -> Self {
        let mut code = Code::default();
        // Bodies that run whatever is called: constants and statics.
        let mut begin: BTreeSet<String> = BTreeSet::from(["main".to_string()]);
        for file in rust_files(crates) {
            let tests = file
                .file_name()
                .is_some_and(|n| n.to_string_lossy().contains("tests"));
            if tests || !file.components().any(|c| c.as_os_str() == "src") {
                continue;
            }
            let text = plain(&std::fs::read_to_string(&file).unwrap_or_default());
            for (name, body) in functions(&text) {
                let words = code.names.entry(name).or_default();
                words.extend(words_of(body));
            }
            // What traits do for a type is called by the language or a library.
            for (name, _) in functions_of_traits(&text) {
                begin.insert(name);
            }
        }
        let mut open: Vec<String> = begin.into_iter().collect();
        while let Some(name) = open.pop() {
            if code.reached.insert(name.clone()) {
                let next = code.names.get(&name).into_iter().flatten();
                open.extend(
                    next.filter(|n| code.names.contains_key(*n) && !code.reached.contains(*n))
                        .cloned(),
                );
            }
        }
        code
    }

    /// Whether a command can come to a function of that name.
    pub fn runs(&self, function: &str) -> bool {
        self.names.contains_key(function) && self.reached.contains(function)
    }

    /// Functions of the workspace whose names stand in the sources of a folder.
    pub fn functions_named_in(&self, folder: &Path) -> BTreeSet<String> {
        let mut own = BTreeSet::new();
        let mut said = BTreeSet::new();
        for file in rust_files(folder) {
            let text = plain(&std::fs::read_to_string(&file).unwrap_or_default());
            own.extend(functions(&text).into_iter().map(|f| f.0));
            said.extend(words_of(&text));
        }
        said.into_iter()
            .filter(|w| self.names.contains_key(w) && !own.contains(w))
            .collect()
    }
}

fn rust_files(folder: &Path) -> Vec<std::path::PathBuf> {
    let mut out = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(at) = open.pop() {
        for entry in std::fs::read_dir(&at).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                out.push(path);
            }
        }
    }
    out.sort();
    out
}

/// The text without comments, without what stands in quotes, and without test modules.
fn plain(text: &str) -> String {
    let text = text
        .split("#[cfg(test)]\nmod tests {")
        .next()
        .unwrap_or_default();
    let mut out = String::with_capacity(text.len());
    for line in text.lines() {
        let mut quoted = false;
        let mut last = ' ';
        for (i, c) in line.char_indices() {
            if !quoted && line[i..].starts_with("//") {
                break;
            }
            if c == '"' && last != '\\' && last != '\'' {
                quoted = !quoted;
            }
            if !quoted {
                out.push(c);
            }
            last = c;
        }
        out.push('\n');
    }
    out
}

/// The functions with a body: name and body.
fn functions(text: &str) -> Vec<(String, &str)> {
    let mut out = Vec::new();
    let mut from = 0;
    while let Some(at) = text[from..].find("fn ") {
        let start = from + at + 3;
        from = start;
        let head = text[..start - 3].chars().next_back();
        let name: String = text[start..]
            .chars()
            .take_while(|c| c.is_alphanumeric() || *c == '_')
            .collect();
        if name.is_empty() || head.is_some_and(|c| c.is_alphanumeric() || c == '_') {
            continue;
        }
        let rest = &text[start..];
        // A body, unless the declaration ends first.
        let (brace, end) = (rest.find('{'), rest.find(';'));
        if let Some(b) = brace
            && end.is_none_or(|e| b < e || rest[..b].contains('['))
        {
            out.push((name, block(&rest[b..])));
        }
    }
    out
}

/// The functions inside `impl Trait for Type` blocks.
fn functions_of_traits(text: &str) -> Vec<(String, &str)> {
    let mut out = Vec::new();
    for (at, _) in text.match_indices("\nimpl") {
        let rest = &text[at..];
        if let Some(b) = rest.find('{')
            && rest[..b].contains(" for ")
        {
            out.extend(functions(block(&rest[b..])));
        }
    }
    out
}

/// From an opening brace to the one that closes it.
fn block(text: &str) -> &str {
    let mut depth = 0usize;
    for (i, c) in text.char_indices() {
        match c {
            '{' => depth += 1,
            '}' => {
                depth = depth.saturating_sub(1);
                if depth == 0 {
                    return &text[..=i];
                }
            }
            _ => {}
        }
    }
    text
}

fn words_of(text: &str) -> BTreeSet<String> {
    text.split(|c: char| !(c.is_alphanumeric() || c == '_'))
        .filter(|w| w.starts_with(|c: char| c.is_lowercase() || c == '_'))
        .map(str::to_string)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = r#"
/// Calls unused() in its doc.
fn main() {
    say("unused()"); // unused()
    first::<2>();
}
fn first<const N: usize>() -> [f64; 2] { second(); [0.0; 2] }
fn second() {}
fn unused() { third() }
fn third() {}
struct S;
impl Drop for S { fn drop(&mut self) { fourth() } }
fn fourth() {}
"#;

    #[test]
    fn what_main_comes_to_is_reached_and_nothing_else() {
        let folder = std::env::temp_dir().join(format!("called-{}", std::process::id()));
        let src = folder.join("one/src");
        std::fs::create_dir_all(&src).expect("a folder");
        std::fs::write(src.join("main.rs"), TEXT).expect("a file");
        let code = Code::of(&folder);
        std::fs::remove_dir_all(&folder).expect("gone");
        for name in ["main", "first", "second", "drop", "fourth"] {
            assert!(code.runs(name), "{name} {code:?}");
        }
        for name in ["unused", "third"] {
            assert!(!code.runs(name), "{name} {code:?}");
        }
    }
}
