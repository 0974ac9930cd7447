#!/usr/bin/env python3
"""Plans every polygon found in files that were never meant to be fairways.

    python tests/scripts/any_polygons.py PROGRAM FOLDER [--count N]    (shapely as in requirements.txt)

Geometry libraries keep thousands of awkward polygons in their tests: the sources of GEOS and of the
JTS Topology Suite have them as WKT and WKB (`apt-get source geos jts` on Debian). Each one found in
a file under FOLDER, valid or not, is scaled to the size of a fairway, laid at 40 degrees north and
planned, with pattern, deck and size in turn. It must end in a plan (exit code 0 or 1) or in a
refusal that says why (2), within SECONDS. With --count only so many, evenly chosen.
"""

import collections
import json
import math
import pathlib
import re
import subprocess
import sys
import tempfile
import time
import warnings

import shapely

SECONDS = 60
PATTERNS = ["stripes", "loops", "cross", "contour", "rings", "half-and-half"]
DECKS = ["100in", "84in", "11ft"]
# Longer side, metres: most of them small, because thousands are planned.
SIZES = [40, 60, 60, 60, 90, 60, 60, 200, 60, 25]
METRES_A_DEGREE = 111_320
LON, LAT = -30, 40
TEXT = re.compile(r"(?:MULTI)?POLYGON\s*\(", re.IGNORECASE)
BINARY = re.compile(r"\b0[01][0-9A-Fa-f]{30,}\b")


def balanced(text, start):
    depth = 0
    for i in range(start, len(text)):
        depth += {"(": 1, ")": -1}.get(text[i], 0)
        if depth == 0 and text[i] == ")":
            return text[start : i + 1]
    return ""


def geometries(text):
    for m in TEXT.finditer(text):
        yield shapely.from_wkt, m.group(0)[:-1] + balanced(text, m.end() - 1)
    for m in BINARY.finditer(text):
        yield shapely.from_wkb, m.group(0)


def found(folder):
    """Each different polygon or multipolygon, as rings of positions."""
    seen = set()
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        try:
            text = path.read_text(errors="ignore")
        except OSError:
            continue
        # Strings broken over lines in source code.
        for read, word in geometries(re.sub(r'"\s*\+?\s*\n\s*"', "", text)):
            try:
                shape = read(word)
            except (shapely.errors.ShapelyError, ValueError):
                continue
            parts = [p for p in shapely.get_parts(shape) if p.geom_type == "Polygon" and not p.is_empty]
            rings = [[[c[:2] for c in r.coords] for r in (p.exterior, *p.interiors)] for p in parts]
            key = json.dumps(rings)
            finite = all(math.isfinite(v) for p in rings for r in p for c in r for v in c)
            if rings and finite and key not in seen:
                seen.add(key)
                yield path, rings


def course(rings, size):
    corners = [c for p in rings for r in p for c in r]
    x0, y0 = (min(c[i] for c in corners) for i in (0, 1))
    x1, y1 = (max(c[i] for c in corners) for i in (0, 1))
    scale = size / (max(x1 - x0, y1 - y0) or 1.0) / METRES_A_DEGREE
    at = lambda c: [LON + (c[0] - x0) * scale / math.cos(math.radians(LAT)), LAT + (c[1] - y0) * scale]
    placed = [[[at(c) for c in r] for r in p] for p in rings]
    geometry = {"type": "MultiPolygon", "coordinates": placed}
    properties = {"role": "fairway", "hole": "1"}
    feature = {"type": "Feature", "properties": properties, "geometry": geometry}
    return {"type": "FeatureCollection", "features": [feature]}


def main():
    program, folder = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2])
    warnings.filterwarnings("ignore")
    shapes = list(found(folder))
    if "--count" in sys.argv:
        count = int(sys.argv[sys.argv.index("--count") + 1])
        shapes = shapes[:: max(1, len(shapes) // count)][:count]
    ends, faults, longest = collections.Counter(), [], 0.0
    with tempfile.TemporaryDirectory() as kept:
        file, out = pathlib.Path(kept) / "course.geojson", pathlib.Path(kept) / "out"
        for k, (path, rings) in enumerate(shapes):
            pattern, deck, size = PATTERNS[k % len(PATTERNS)], DECKS[k % len(DECKS)], SIZES[k % len(SIZES)]
            file.write_text(json.dumps(course(rings, size)))
            run = [program, "plan", file, "--pattern", pattern, "--deck", deck, "--out", out]
            began = time.monotonic()
            try:
                done = subprocess.run(run, capture_output=True, text=True, timeout=SECONDS)
                end, said = done.returncode, done.stderr
            except subprocess.TimeoutExpired:
                end, said = "too long", ""
            longest = max(longest, time.monotonic() - began)
            ends[end] += 1
            if end not in (0, 1, 2) or (end == 2 and "error:" not in said):
                faults.append(f"polygon {k} of {path}, {pattern}, {deck}, {size} m: {end} {said[-300:]}")
            if (k + 1) % 100 == 0:
                print(f"{k + 1} of {len(shapes)}", file=sys.stderr, flush=True)
    print(f"{len(shapes)} polygons: {ends[0]} planned, {ends[1]} planned with something to look at, "
          f"{ends[2]} refused, {len(faults)} neither; the longest took {longest:.1f} s")
    print("\n".join(faults))
    sys.exit(bool(faults) or not shapes)


if __name__ == "__main__":
    main()
