"""Imports run one way: reads the `use` lines of every crate and says where they do not.

    python3 tests/scripts/layers.py [FOLDER OF THE WORKSPACE]

Between crates the order stands in CRATES, between the rooms of core in ROOMS; a room may import
from lower rooms and from itself. In no crate do files import each other in a circle. Exit 1 and a line
for each fault.

One idea, one file: in the crates of SHORT no file is longer than MAX_LINES without its tests.
"""
import re
import sys
from pathlib import Path

CRATES = ["core", "metrics", "season", "formats render", "cli"]
# From the bottom up. Rooms of one line may import each other as long as there is no circle.
ROOMS = [
    "model",
    "error",
    "limits promises polygon work plane",
    "curve deck swath ground",
    "patterns driving",
    "planner",
    "plan",
    "stored",
]
# Siblings that never see each other, and what a room never sees.
NEVER = [("patterns", "driving"), ("driving", "patterns"), ("swath", "ground"), ("formats", "render"), ("render", "formats")]
SHORT = ["core", "metrics", "formats"]
MAX_LINES = 450
TESTS = r"#\[cfg\((?:all\()?test[^\]]*\)\]\s*(?:#\[path[^\]]*\]\s*)?mod tests"
RANK = {room: i for i, rooms in enumerate(ROOMS) for room in rooms.split()}
CRATE_RANK = {c: i for i, crates in enumerate(CRATES) for c in crates.split()}


def without_tests(text):
    """The code without its test module, comments and doc comments."""
    text = re.split(TESTS, text)[0]
    return "\n".join(l for l in text.split("\n") if not l.lstrip().startswith("//"))


def spread(tree):
    """`a::{b, c::{d, e}}` as a list of whole paths."""
    if "{" not in tree:
        return [tree.split(" as ")[0].strip()]
    head, rest = tree.split("{", 1)
    rest, depth, part, parts = rest.rsplit("}", 1)[0], 0, "", []
    for c in rest:
        depth += (c == "{") - (c == "}")
        if c == "," and depth == 0:
            parts.append(part)
            part = ""
        else:
            part += c
    parts.append(part)
    return [head.strip() + p for q in parts if q.strip() for p in spread(q.strip())]


def imports(text):
    for m in re.finditer(r"(?:^|\n)\s*(?:pub(?:\([^)]*\))? )?use ([^;]+);", text):
        yield from spread(re.sub(r"\s+", " ", m.group(1)))
    # Paths written out in the code.
    for m in re.finditer(r"(?<![\w:])((?:crate|crossgrain_\w+)(?:::\w+)+)", text):
        yield m.group(1)


def faults_of(root):
    out = []
    for crate in sorted(CRATE_RANK):
        src = root / "crates" / crate / "src"
        files = {}
        for f in sorted(src.rglob("*.rs")):
            parts = list(f.relative_to(src).with_suffix("").parts)
            if parts[-1] in ("tests", "lib", "main") or parts[-1].endswith("_tests"):
                continue
            files[tuple(parts[:-1] if parts[-1] == "mod" else parts)] = f
        graph = {m: set() for m in files}
        for module, f in files.items():
            whole = f.read_text()
            lines = re.split(TESTS, whole)[0].count("\n")
            if crate in SHORT and lines > MAX_LINES:
                out.append(f"{f.relative_to(root)}: {lines} lines without its tests, more than {MAX_LINES}")
            text = without_tests(whole)
            for path in imports(text):
                steps = path.split("::")
                if steps[0].startswith("crossgrain_"):
                    other = steps[0].removeprefix("crossgrain_")
                    if other != crate and other in CRATE_RANK:
                        if CRATE_RANK[other] >= CRATE_RANK[crate] or (crate, other) in NEVER:
                            out.append(f"{f.relative_to(root)}: {crate} imports {other}")
                    continue
                if steps[0] == "super":
                    steps = list(module[:-1]) + steps[1:]
                elif steps[0] == "crate":
                    steps = steps[1:]
                else:
                    continue
                target = next((tuple(steps[:n]) for n in range(len(steps), 0, -1) if tuple(steps[:n]) in files), None)
                if target is None or target == module:
                    continue
                graph[module].add(target)
                if crate != "core":
                    continue
                here, there = module[0], target[0]
                if here in RANK and there in RANK:
                    if RANK[there] > RANK[here] or (here, there) in NEVER:
                        out.append(f"{f.relative_to(root)}: {here} imports {there} ({path})")
        out.extend(circles(crate, graph))
    return sorted(set(out))


def circles(crate, graph):
    """Groups of files that import each other (R. Tarjan, SIAM Journal on Computing 1, 1972)."""
    index, low, stack, on, out = {}, {}, [], set(), []

    def visit(v):
        index[v] = low[v] = len(index)
        stack.append(v)
        on.add(v)
        for w in sorted(graph[v]):
            if w not in index:
                visit(w)
                low[v] = min(low[v], low[w])
            elif w in on:
                low[v] = min(low[v], index[w])
        if low[v] == index[v]:
            group = []
            while True:
                w = stack.pop()
                on.discard(w)
                group.append("/".join(w))
                if w == v:
                    break
            if len(group) > 1:
                out.append(f"crates/{crate}/src: a circle of {', '.join(sorted(group))}")

    sys.setrecursionlimit(10_000)
    for v in sorted(graph):
        if v not in index:
            visit(v)
    return out


if __name__ == "__main__":
    faults = faults_of(Path(sys.argv[1] if len(sys.argv) > 1 else "."))
    print("\n".join(faults) or "imports run one way in every crate")
    sys.exit(1 if faults else 0)
