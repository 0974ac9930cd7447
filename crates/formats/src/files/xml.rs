//! XML within limits: no definitions of its own, no deep nesting, no endless lists.

use super::limits::{MAX_DEPTH, MAX_NODES};
use super::{FileFault, XmlFault};
use crate::input::plain;
use roxmltree::{Document, Error, Node, ParsingOptions};

/// The text of an XML file: UTF-8, UTF-16 by its mark, or Latin-1 where it says so.
pub(crate) fn text(bytes: Vec<u8>) -> Result<String, FileFault> {
    let wide = |low: usize| -> String {
        let units = bytes[2..]
            .chunks_exact(2)
            .map(|c| u16::from(c[low]) | u16::from(c[1 - low]) << 8);
        char::decode_utf16(units)
            .map(|c| c.unwrap_or('\u{fffd}'))
            .collect()
    };
    if bytes.starts_with(b"\xff\xfe") {
        return Ok(wide(0));
    }
    if bytes.starts_with(b"\xfe\xff") {
        return Ok(wide(1));
    }
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(100)]).to_ascii_lowercase();
    let declared = head.split("?>").next().unwrap_or_default();
    match String::from_utf8(bytes) {
        Ok(text) => Ok(text),
        Err(e) if declared.contains("8859-1") || declared.contains("windows-1252") => {
            Ok(super::table::western(e.as_bytes()))
        }
        Err(e) => {
            let byte = e.utf8_error().valid_up_to();
            Err(XmlFault::Text { byte }.into())
        }
    }
}

/// Reads a document.
pub(crate) fn parse(text: &str) -> Result<Document<'_>, FileFault> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if deeper_than(text, MAX_DEPTH) {
        return Err(XmlFault::Depth.into());
    }
    let options = ParsingOptions {
        allow_dtd: false,
        nodes_limit: MAX_NODES as u32,
        ..ParsingOptions::default()
    };
    Document::parse_with_options(text, options).map_err(|e| {
        match e {
            Error::DtdDetected => XmlFault::Definitions,
            Error::NodesLimitReached => XmlFault::Nodes,
            e => XmlFault::Malformed {
                line: e.pos().row,
                column: e.pos().col,
                reason: plain(&e.to_string())
                    .split(" at ")
                    .next()
                    .unwrap_or_default()
                    .to_string(),
            },
        }
        .into()
    })
}

/// Whether elements may be nested deeper than `most`: counted roughly and before the reader
/// builds anything. Comments and texts that look like markup can only make it seem deeper, by
/// what they open and do not close.
fn deeper_than(text: &str, most: usize) -> bool {
    let bytes = text.as_bytes();
    let (mut depth, mut i) = (0_usize, 0);
    while let Some(at) = bytes[i..].iter().position(|b| *b == b'<') {
        i += at + 1;
        let rest = &text[i..];
        let skip = |end: &str| rest.find(end).map_or(rest.len(), |n| n + end.len());
        if rest.starts_with("!--") {
            i += skip("-->");
        } else if rest.starts_with("![CDATA[") {
            i += skip("]]>");
        } else if rest.starts_with('?') {
            i += skip("?>");
        } else if rest.starts_with('!') {
            i += 1;
        } else if rest.starts_with('/') {
            depth = depth.saturating_sub(1);
        } else {
            // The tag's end, outside of quotation marks.
            let mut quote = None;
            let mut last = 0;
            let mut end = rest.len();
            for (k, b) in rest.bytes().enumerate() {
                match (quote, b) {
                    (None, b'>') => {
                        end = k;
                        break;
                    }
                    (None, b'"' | b'\'') => quote = Some(b),
                    (Some(q), b) if q == b => quote = None,
                    _ => {}
                }
                last = b;
            }
            if last != b'/' {
                depth += 1;
                if depth > most {
                    return true;
                }
            }
            i += end;
        }
        if i >= bytes.len() {
            break;
        }
    }
    false
}

/// The line a node stands in, 1 first.
pub(crate) fn line(node: Node<'_, '_>) -> u32 {
    node.document().text_pos_at(node.range().start).row
}

/// Child elements of a name, whatever their namespace: programs write it wrongly.
pub(crate) fn children<'a, 'i>(
    node: Node<'a, 'i>,
    name: &'static str,
) -> impl Iterator<Item = Node<'a, 'i>> {
    node.children()
        .filter(move |c| c.is_element() && c.tag_name().name() == name)
}

/// The first child element of a name.
pub(crate) fn child<'a, 'i>(node: Node<'a, 'i>, name: &'static str) -> Option<Node<'a, 'i>> {
    children(node, name).next()
}

/// All text of a child element, trimmed; nothing where it is empty.
pub(crate) fn child_text(node: Node<'_, '_>, name: &'static str) -> Option<String> {
    child(node, name).and_then(own_text)
}

/// All text of an element itself, trimmed; nothing where it is empty. A reader may hand it on in
/// pieces.
pub(crate) fn own_text(node: Node<'_, '_>) -> Option<String> {
    let text: String = node
        .children()
        .filter_map(|c| if c.is_text() { c.text() } else { None })
        .collect();
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_string())
}
