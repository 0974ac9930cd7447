#!/usr/bin/env python3
"""Makes the bundled sheet font and its width table from Atkinson Hyperlegible.

The sheets must look the same on every machine and text boxes must be known without a font
parser, so the layout tables (kerning, ligatures) are dropped: the width of a line of text is
then the sum of its advances. The result has a name of its own, because it is a modified
version and must never be mixed up with an installed original.

Source: npm package @expo-google-fonts/atkinson-hyperlegible 0.4.1 (SIL OFL 1.1).
    npm pack @expo-google-fonts/atkinson-hyperlegible@0.4.1 && tar xzf *.tgz
    pip install fonttools==4.68.0 brotli==1.2.0
    python3 tests/scripts/make_font.py package crates/render
"""
import sys
from pathlib import Path
from fontTools import subset
from fontTools.ttLib import TTFont

FAMILY = "Crossgrain Sheet"
source, render = Path(sys.argv[1]), Path(sys.argv[2])
fonts = {}
for style, stem in (("Regular", "400Regular"), ("Bold", "700Bold")):
    options = subset.Options()
    options.layout_features = []
    options.drop_tables += ["GPOS", "GSUB", "GDEF", "DSIG", "STAT"]
    options.name_IDs = ["*"]
    options.notdef_outline = True
    options.hinting = False
    options.recalc_timestamp = False
    font = TTFont(source / stem / f"AtkinsonHyperlegible_{stem}.ttf", recalcTimestamp=False)
    sub = subset.Subsetter(options)
    sub.populate(unicodes=[c for c in font.getBestCmap() if c < 0x0300 or c > 0x036F])
    sub.subset(font)
    for record in font["name"].names:
        text = {1: FAMILY, 2: style, 3: f"{FAMILY} {style} 1", 4: f"{FAMILY} {style}",
                6: f"CrossgrainSheet-{style}"}.get(record.nameID)
        if text:
            record.string = text
    font.save(render / "font" / f"sheet-{style.lower()}.ttf")
    font.flavor = "woff2"
    font.save(render / "font" / f"sheet-{style.lower()}.woff2")
    font.flavor = None
    fonts[style] = font

regular, bold = fonts["Regular"], fonts["Bold"]
assert regular["head"].unitsPerEm == bold["head"].unitsPerEm == 1000
cmap = regular.getBestCmap()
assert set(cmap) == set(bold.getBestCmap())
lines = []
for code in sorted(cmap):
    gid, gid_bold = regular.getGlyphID(cmap[code]), bold.getGlyphID(bold.getBestCmap()[code])
    assert gid == gid_bold, (hex(code), gid, gid_bold)
    lines.append(f"    (0x{code:04x}, {gid}, {regular['hmtx'][cmap[code]][0]}, "
                 f"{bold['hmtx'][bold.getBestCmap()[code]][0]}),")
os2 = regular["OS/2"]
(render / "src" / "glyphs.rs").write_text(f"""//! Glyph numbers and advances of the bundled font, made by `tests/scripts/make_font.py`.

/// Units in an em.
pub(crate) const EM: f64 = 1000.0;
/// Height of a capital letter, in units.
pub(crate) const CAP_HEIGHT: f64 = {os2.sCapHeight}.0;

/// Code point, glyph number, advance (regular), advance (bold); sorted by code point.
#[rustfmt::skip]
pub(crate) const GLYPHS: &[(u32, u16, u16, u16)] = &[
""" + "\n".join(lines) + "\n];\n")
