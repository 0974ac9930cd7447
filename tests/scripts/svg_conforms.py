"""Validates SVG files: well-formed XML by xmllint, then every element, attribute, attribute value
and child against the tables of SVG 1.1 (Full) and SVG Tiny 1.2 in svgwrite, a general drawing
library. An attribute must be sound in one of the two profiles (`role` came with Tiny 1.2). Path
data is read by the grammar of SVG 1.1, section 8.3.9, here: svgwrite's own reader refuses numbers
that only a sign keeps apart, which the grammar allows. Every reference within the file must lead
somewhere.

    python svg_conforms.py FILE.svg...
"""

import re
import subprocess
import sys
import xml.etree.ElementTree as ElementTree

from svgwrite.validator2 import get_validator

SVG = "{http://www.w3.org/2000/svg}"
XML = "{http://www.w3.org/XML/1998/namespace}"
# Profiles in the order in which they are asked.
PROFILES = [get_validator("full"), get_validator("tiny")]

# Read greedily and never given back (`(?>`), as the grammar asks; it keeps a refusal quick too.
PLAIN = r"(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
NUMBER = f"(?>[+-]?{PLAIN})"
WITHOUT_SIGN = f"(?>{PLAIN})"
GAP = r"[ \t\r\n]*,?[ \t\r\n]*"
# What follows a command, once or more often: numbers; an arc's fourth and fifth are flags, one
# digit each, and its radii carry no sign.
ARC = [WITHOUT_SIGN, WITHOUT_SIGN, NUMBER, "[01]", "[01]", NUMBER, NUMBER]
AFTER = {
    **{c: [NUMBER] * n for c, n in [("M", 2), ("L", 2), ("H", 1), ("V", 1), ("C", 6), ("S", 4), ("Q", 4), ("T", 2)]},
    "A": ARC,
}
COMMAND = "|".join(
    [f"[{c}{c.lower()}]\\s*(?:{GAP.join(parts)}{GAP})+" for c, parts in AFTER.items()] + ["[Zz]\\s*"]
)
PATH_DATA = re.compile(rf"\s*(?:(?=[Mm])(?:{COMMAND})(?:{COMMAND})*)?")


def first_fault(asks):
    """None if any profile accepts, else what the first one said."""
    said = None
    for profile in PROFILES:
        try:
            asks(profile)
            return None
        except (ValueError, TypeError, KeyError) as error:
            said = said or str(error)
    return said


def value_fault(name, key, value):
    if (name, key) == ("path", "d"):
        return None if PATH_DATA.fullmatch(value) else f"{value[:60]} is no path data"
    return first_fault(lambda p: p.check_svg_attribute_value(name, key, value))


def faults(path):
    subprocess.run(["xmllint", "--noout", "--nonet", path], check=True)
    root = ElementTree.parse(path).getroot()
    ids = [e.get("id") for e in root.iter() if e.get("id")]
    out = [f"id {i} stands twice" for i in sorted({i for i in ids if ids.count(i) > 1})]
    if root.tag != SVG + "svg":
        out.append(f"the root is {root.tag}")
    elements = 0
    for element in root.iter():
        elements += 1
        if not element.tag.startswith(SVG):
            out.append(f"foreign element {element.tag}")
            continue
        name = element.tag.removeprefix(SVG)
        for key, value in element.attrib.items():
            key = key.replace(XML, "xml:")
            said = value_fault(name, key, value)
            if said:
                out.append(f"<{name} {key}>: {said[:200]}")
            for target in re.findall(r"url\(#([^)]*)\)", value):
                if target not in ids:
                    out.append(f"<{name} {key}> points to {target}, which is not there")
        for child in element:
            child_name = child.tag.removeprefix(SVG)
            said = first_fault(lambda p: p.check_valid_children(name, child_name))
            if said:
                out.append(said[:200])
    return elements, out


def self_test():
    """A check that cannot fail is none: plain faults must be found."""
    for name, key, value in [
        ("path", "d", "M0 0 q"),
        ("path", "d", "L1 1"),
        ("path", "d", "M0 0l1"),
        ("path", "d", "M0 0a1 1 0 021 1"),
        ("path", "d", "M0 0a-1 1 0 011 1"),
        ("path", "fill", "#12"),
        ("text", "x", "three"),
        ("svg", "onclickety", "1"),
    ]:
        if not value_fault(name, key, value):
            sys.exit(f"FAIL <{name} {key}={value!r}> was accepted")
    for sound in ["M0 0l.5-.5-1 2z", "M1 1a2 2 0 01-.4.2 2 2 0 10 1-1z", "m1-1", ""]:
        if value_fault("path", "d", sound):
            sys.exit(f"FAIL the path data {sound} was refused")
    if not first_fault(lambda p: p.check_valid_children("path", "svg")):
        sys.exit("FAIL an svg in a path was accepted")


def main():
    self_test()
    failed = 0
    elements = 0
    for path in sys.argv[1:]:
        n, found = faults(path)
        elements += n
        for fault in found[:5]:
            print(f"FAIL {path}: {fault}")
        failed += bool(found)
    files = len(sys.argv) - 1
    if failed or not files:
        sys.exit(f"FAIL {failed} of {files} files do not conform")
    print(f"ok   {files} SVG files conform to the standard's tables ({elements} elements)")


if __name__ == "__main__":
    main()
