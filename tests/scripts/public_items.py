"""What core shows to embedders, as a list that a review can read.

    python3 tests/scripts/public_items.py            compares with crates/core/public.txt
    python3 tests/scripts/public_items.py --write    writes it anew, to be read before it is committed

Has `cargo doc` lay out the documentation (stable Rust) with all features and takes from its pages what
is declared on them: types with their fields and variants, functions, methods, constants and the traits
that the crate itself gives them. Hidden items are on no page. Exit 1 and the lines that differ when
the list has changed, or when there are more than MAX_ITEMS items: modules, types, functions, methods and
constants (fields and variants belong to their type).
"""
import html
import os
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CRATE = "crossgrain_core"
LIST = ROOT / "crates/core/public.txt"
MAX_ITEMS = 150
# Traits that every type has without a word, or that say nothing about how it is used.
TACIT = {"Freeze", "Send", "Sync", "Unpin", "UnsafeUnpin", "RefUnwindSafe", "UnwindSafe", "StructuralPartialEq"}


def text(fragment):
    """The words of a piece of HTML."""
    fragment = re.sub(r"<(span|a)[^>]*class=\"(?:since|src[^\"]*|anchor|tooltip[^\"]*)\"[^>]*>.*?</\1>", "", fragment)
    plain = html.unescape(re.sub(r"<[^>]+>", "", fragment)).replace("\u00a7", "").replace("\u200b", "")
    return re.sub(r"\s+", " ", plain).strip()


def declared(page):
    """The declaration of a page, without comments, and the part of the page after it."""
    m = re.search(r'<pre class="rust item-decl"><code>(.*?)</code></pre>', page, re.S)
    if not m:
        return None
    decl = re.sub(r"(?m)^\s*//.*$", "", html.unescape(re.sub(r"<[^>]+>", "", m.group(1))))
    return re.sub(r"\s+", " ", decl).strip().replace("#[non_exhaustive]pub", "#[non_exhaustive] pub")


def members(page):
    """Methods and constants of the type itself, without those of traits."""
    own = re.search(r'id="implementations-list"(.*?)(?:<h2 id="trait-implementations"|<h2 id="synthetic-implementations"|<script|$)', page, re.S)
    body = own.group(1) if own else ""
    for kind in ("method", "associatedconstant"):
        for m in re.finditer(rf'<section id="{kind}\.[^"]*" class="{kind}">(.*?)</section>', body, re.S):
            code = re.search(r'<h4 class="code-header">(.*?)</h4>', m.group(1), re.S)
            if code:
                yield text(code.group(1))


def traits(page):
    """The traits of a type that are no one's but its own."""
    own = re.search(r'id="trait-implementations-list"(.*?)(?:<h2 id="synthetic-implementations"|<script|$)', page, re.S)
    out = set()
    for m in re.finditer(r'<section id="impl-[^"]*" class="impl">(.*?)</section>', own.group(1) if own else "", re.S):
        code = re.search(r'<h3 class="code-header">(.*?)</h3>', m.group(1), re.S)
        line = re.sub(r" where .*$", "", text(code.group(1))) if code else ""
        name = re.match(r"impl(?:<[^>]*>)? (?:!)?([\w]+)", line)
        if name and name.group(1) not in TACIT:
            out.add(line)
    return sorted(out)


def modules(folder, place=()):
    """The module pages that the index pages lead to: a page left from an earlier run is not among them."""
    page = folder.joinpath(*place, "index.html").read_text()
    yield place, page
    for name in re.findall(r'<a class="mod" href="(\w+)/index\.html"', page):
        yield from modules(folder, (*place, name))


def listed(folder):
    """Lines of the list, and how many items there are."""
    lines, count, seen = [], 0, set()
    for place, index in sorted(modules(folder)):
        here = "".join(f"{p}::" for p in place)
        if place:
            lines.append(f"mod {here.removesuffix('::')}")
            count += 1
        names = set(re.findall(r'<a class="\w+" href="((?:struct|enum|trait|fn|constant|static|type|macro|union)\.\w+\.html)"', index))
        for file in sorted(names):
            kind, name, _ = file.split(".")
            content = folder.joinpath(*place, file).read_text()
            decl = declared(content)
            if decl is None:
                raise SystemExit(f"{file}: no declaration found; has rustdoc changed its pages?")
            if (kind, name) in seen:
                raise SystemExit(f"{kind} {name} stands in two places")
            seen.add((kind, name))
            lines.append(f"{here}{decl}")
            count += 1
            for m in members(content):
                lines.append(f"    {here}{name}: {m}")
                count += 1
            if kind in ("struct", "enum", "union"):
                lines.extend(f"    {t}" for t in traits(content))
        again = re.findall(r'<code>pub use (.*?);</code>', index, re.S)
        lines.extend(sorted({f"{here}use {text(r)}" for r in again}))
    return lines, count


def main():
    target = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    folder = target / "doc" / CRATE
    subprocess.run(
        ["cargo", "doc", "--locked", "--quiet", "--no-deps", "-p", "crossgrain-core", "--all-features"],
        cwd=ROOT, check=True,
    )
    lines, count = listed(folder)
    new = f"# {count} public items. Written by tests/scripts/public_items.py.\n" + "\n".join(lines) + "\n"
    if "--write" in sys.argv:
        LIST.write_text(new)
        print(f"{count} public items")
        return 0
    if count > MAX_ITEMS:
        print(f"{count} public items; there are to be at most {MAX_ITEMS}")
        return 1
    old = LIST.read_text()
    if old == new:
        print(f"{count} public items, as {LIST.relative_to(ROOT)} has them")
        return 0
    import difflib

    print("\n".join(difflib.unified_diff(old.split("\n"), new.split("\n"), "listed", "found", lineterm="", n=0)))
    print("What embedders see has changed: run this with --write, read the list, tell it in the changelog")
    return 1


if __name__ == "__main__":
    sys.exit(main())
