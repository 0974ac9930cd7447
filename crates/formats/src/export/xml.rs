//! XML written line by line: text escaped, elements closed in order.

use std::fmt::Display;

/// A growing XML document.
pub(super) struct Xml {
    out: String,
    open: Vec<&'static str>,
}

impl Xml {
    /// A document with its declaration.
    pub fn new() -> Self {
        Self {
            out: "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_string(),
            open: Vec::new(),
        }
    }

    /// Opens an element.
    pub fn open(&mut self, name: &'static str, attributes: &[(&str, &dyn Display)]) {
        self.start(name, attributes);
        self.out.push_str(">\n");
        self.open.push(name);
    }

    /// Closes the innermost element.
    pub fn close(&mut self) {
        if let Some(name) = self.open.pop() {
            self.indent();
            self.out.push_str("</");
            self.out.push_str(name);
            self.out.push_str(">\n");
        }
    }

    /// An element without content.
    pub fn empty(&mut self, name: &'static str, attributes: &[(&str, &dyn Display)]) {
        self.start(name, attributes);
        self.out.push_str("/>\n");
    }

    /// An element with text in it.
    pub fn text(&mut self, name: &'static str, attributes: &[(&str, &dyn Display)], text: &str) {
        self.start(name, attributes);
        self.out.push('>');
        self.out.push_str(&escaped(text));
        self.out.push_str("</");
        self.out.push_str(name);
        self.out.push_str(">\n");
    }

    /// The document; what is still open is closed.
    pub fn finish(mut self) -> Vec<u8> {
        while !self.open.is_empty() {
            self.close();
        }
        self.out.into_bytes()
    }

    fn start(&mut self, name: &str, attributes: &[(&str, &dyn Display)]) {
        self.indent();
        self.out.push('<');
        self.out.push_str(name);
        for (key, value) in attributes {
            self.out.push(' ');
            self.out.push_str(key);
            self.out.push_str("=\"");
            self.out.push_str(&escaped(&value.to_string()));
            self.out.push('"');
        }
    }

    fn indent(&mut self) {
        self.out.extend(std::iter::repeat_n(' ', self.open.len()));
    }
}

/// Text as XML carries it; what no XML document may hold becomes U+FFFD.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // XML 1.0, production 2.
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c if c.is_control() && !matches!(c, '\t' | '\n' | '\r') => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// Degrees with nine decimals, a tenth of a millimetre.
pub(super) fn degrees(deg: f64) -> String {
    // Adding 0 turns a rounded minus zero into zero.
    format!("{:.9}", (deg * 1e9).round() / 1e9 + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_cannot_become_markup() {
        let mut x = Xml::new();
        x.open("a", &[("b", &"1 < 2 & \"3\"\u{0}")]);
        x.text("c", &[], "]]><d/>\u{ffff}");
        let text = String::from_utf8(x.finish()).unwrap();
        assert!(text.contains("<a b=\"1 &lt; 2 &amp; &quot;3&quot;\u{fffd}\">"));
        assert!(text.contains("<c>]]&gt;&lt;d/&gt;\u{fffd}</c>"));
        assert!(text.ends_with("</a>\n"));
        assert_eq!(degrees(-1e-12), "0.000000000");
    }
}
