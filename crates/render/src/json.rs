//! A small JSON writer for data inside a page of HTML.
//!
//! Everything that could end a script element or start a comment is written as an escape, so the
//! text is safe wherever the page puts it (RFC 8259 allows any character as `\u` escape).

use crate::svg_page::plain_number;

/// Writes JSON into a string, commas by itself.
pub(crate) struct Writer<'a> {
    out: &'a mut String,
    /// Whether the next value needs a comma in front.
    comma: bool,
}

impl<'a> Writer<'a> {
    /// Writes behind what `out` holds.
    pub(crate) fn new(out: &'a mut String) -> Self {
        Self { out, comma: false }
    }

    fn before(&mut self) {
        if self.comma {
            self.out.push(',');
        }
        self.comma = false;
    }

    /// An object; its keys are written by `body`.
    pub(crate) fn object(&mut self, body: impl FnOnce(&mut Self)) {
        self.before();
        self.out.push('{');
        body(self);
        self.out.push('}');
        self.comma = true;
    }

    /// An array; its values are written by `body`.
    pub(crate) fn array(&mut self, body: impl FnOnce(&mut Self)) {
        self.before();
        self.out.push('[');
        body(self);
        self.out.push(']');
        self.comma = true;
    }

    /// An array of one value an item.
    pub(crate) fn list<T>(&mut self, items: &[T], mut each: impl FnMut(&mut Self, &T)) {
        self.array(|j| {
            for i in items {
                each(j, i);
            }
        });
    }

    /// The next value of an array; reads better than nothing.
    pub(crate) fn item(&mut self) -> &mut Self {
        self
    }

    /// A key; its value follows.
    pub(crate) fn key(&mut self, key: &str) -> &mut Self {
        self.text(key);
        self.out.push(':');
        self.comma = false;
        self
    }

    /// A string.
    pub(crate) fn text(&mut self, text: &str) {
        self.before();
        self.out.push('"');
        // What needs no escape is copied in one piece: path data are long.
        let mut rest = text;
        while let Some((i, c)) = rest.char_indices().find(|(_, c)| needs_escape(*c)) {
            self.out.push_str(&rest[..i]);
            match c {
                '"' => self.out.push_str("\\\""),
                '\\' => self.out.push_str("\\\\"),
                c => self.escape(c),
            }
            rest = &rest[i + c.len_utf8()..];
        }
        self.out.push_str(rest);
        self.out.push('"');
        self.comma = true;
    }

    /// A value that is JSON already, from another writer.
    pub(crate) fn written(&mut self, json: &str) {
        self.before();
        self.out.push_str(json);
        self.comma = true;
    }

    fn escape(&mut self, c: char) {
        // All of these lie in the basic plane.
        self.out.push_str(&format!("\\u{:04x}", c as u32));
    }

    /// A number with at most so many decimals; what is not finite becomes null.
    pub(crate) fn number(&mut self, value: f64, decimals: usize) {
        self.before();
        if value.is_finite() {
            self.out.push_str(&plain_number(value, decimals));
        } else {
            self.out.push_str("null");
        }
        self.comma = true;
    }
}

/// String ends, script ends and comments, line separators that old scripts took for line ends.
fn needs_escape(c: char) -> bool {
    matches!(c, '"' | '\\' | '<' | '>' | '&' | '\u{2028}' | '\u{2029}') || c.is_control()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hostile_text_cannot_leave_its_string() {
        let mut s = String::new();
        let mut j = Writer::new(&mut s);
        j.object(|j| {
            j.key("name").text("</script><!-- \"x\" \\ \u{0}");
            j.key("n").list(&[0.5, -0.25, 2.0], |j, v| j.number(*v, 2));
            j.key("bad").number(f64::NAN, 2);
        });
        assert!(!s.contains('<') && !s.contains('>'));
        let v: serde_json::Value = serde_json::from_str(&s).unwrap();
        assert_eq!(v["name"], "</script><!-- \"x\" \\ \u{0}");
        assert_eq!(v["n"][1], -0.25);
        assert!(v["bad"].is_null());
    }
}
