//! Well-known text as a tree: a word, and in brackets texts, numbers, words and more of the same.

/// Deepest nesting; real definitions need six.
const MAX_DEPTH: usize = 16;

/// The words for systems of map coordinates, in both dialects.
pub(super) const PROJECTED: &[&str] = &["PROJCS", "PROJCRS", "PROJECTEDCRS"];
/// The words for systems of degrees.
pub(super) const GEOGRAPHIC: &[&str] = &[
    "GEOGCS",
    "GEOGCRS",
    "GEOGRAPHICCRS",
    "GEODCRS",
    "GEODETICCRS",
];

/// What is wrong with a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct WktFault(pub &'static str);

/// One bracketed expression.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Node {
    word: String,
    values: Vec<Value>,
}

#[derive(Debug, Clone, PartialEq)]
enum Value {
    Text(String),
    Number(f64),
    Word(String),
    Node(Node),
}

impl Node {
    pub fn is(&self, word: &str) -> bool {
        self.word == word
    }

    pub fn is_any(&self, words: &[&str]) -> bool {
        words.contains(&self.word.as_str())
    }

    /// Its first text, in which nothing can rewrite a line of the terminal.
    pub fn name(&self) -> String {
        let text = self.texts().first().copied().unwrap_or("unnamed");
        crate::input::plain(text).chars().take(80).collect()
    }

    pub fn texts(&self) -> Vec<&str> {
        self.values
            .iter()
            .filter_map(|v| match v {
                Value::Text(t) => Some(t.as_str()),
                _ => None,
            })
            .collect()
    }

    pub fn numbers(&self) -> Vec<f64> {
        self.values
            .iter()
            .filter_map(|v| match v {
                Value::Number(n) => Some(*n),
                _ => None,
            })
            .collect()
    }

    pub fn has_word(&self, word: &str) -> bool {
        self.values
            .iter()
            .any(|v| matches!(v, Value::Word(w) if w == word))
    }

    pub fn children(&self) -> impl Iterator<Item = &Node> {
        self.values.iter().filter_map(|v| match v {
            Value::Node(n) => Some(n),
            _ => None,
        })
    }

    /// All nodes below with one of these words, in the order of the text.
    pub fn all(&self, words: &[&str]) -> Vec<&Node> {
        let mut out = Vec::new();
        let mut rest: Vec<&Node> = vec![self];
        while let Some(n) = rest.pop() {
            if n.is_any(words) {
                out.push(n);
            }
            let mut below: Vec<&Node> = n.children().collect();
            below.reverse();
            rest.extend(below);
        }
        out
    }

    /// The first node below with one of these words.
    pub fn find(&self, words: &[&str]) -> Option<&Node> {
        self.all(words).first().copied()
    }

    /// Whether any node below is such.
    pub fn any(&self, such: &dyn Fn(&Node) -> bool) -> bool {
        such(self) || self.children().any(|c| c.any(such))
    }
}

/// Reads a text; nesting is limited, so nothing here can overflow.
pub(super) fn parse(text: &str) -> Result<Node, WktFault> {
    let mut open: Vec<Node> = Vec::new();
    let mut word = String::new();
    let mut chars = text.chars().peekable();
    // What stands between two commas, unless it is a text or a node.
    fn push(open: &mut [Node], word: &mut String) {
        let w = std::mem::take(word);
        let Some(top) = open.last_mut() else { return };
        if w.is_empty() {
            return;
        }
        top.values.push(match w.parse::<f64>() {
            Ok(n) if n.is_finite() => Value::Number(n),
            _ => Value::Word(w),
        });
    }
    while let Some(c) = chars.next() {
        match c {
            '[' | '(' => {
                if word.is_empty() || open.len() >= MAX_DEPTH {
                    return Err(WktFault("its brackets make no sense"));
                }
                open.push(Node {
                    word: std::mem::take(&mut word),
                    values: Vec::new(),
                });
            }
            ']' | ')' => {
                push(&mut open, &mut word);
                let Some(done) = open.pop() else {
                    return Err(WktFault("a bracket closes what is not open"));
                };
                match open.last_mut() {
                    Some(top) => top.values.push(Value::Node(done)),
                    None => {
                        return if chars.all(char::is_whitespace) {
                            Ok(done)
                        } else {
                            Err(WktFault("something stands behind its end"))
                        };
                    }
                }
            }
            '"' => {
                let mut out = String::new();
                loop {
                    match chars.next() {
                        None => return Err(WktFault("a quotation mark is missing")),
                        Some('"') if chars.peek() == Some(&'"') => {
                            chars.next();
                            out.push('"');
                        }
                        Some('"') => break,
                        Some(c) => out.push(c),
                    }
                }
                let Some(top) = open.last_mut() else {
                    return Err(WktFault("it does not begin with a word"));
                };
                top.values.push(Value::Text(out));
            }
            ',' => push(&mut open, &mut word),
            c if c.is_whitespace() => {}
            c => word.extend(c.to_uppercase()),
        }
    }
    Err(WktFault("it ends too early"))
}
