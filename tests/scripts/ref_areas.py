"""Areas by GEOS: shrunk, grown, reach, and what is left when keep-outs are taken out."""

import math

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

import draw_course
import draw_drives

STORED = "areas.json"
DECKS_M = (2.54, 4.14)
# Chords per quarter circle: 0.0005 rad each, so that chords cost less than one part in 1e7.
SEGS = 3000


def star(n, outer, inner):
    t = np.arange(2 * n) * math.pi / n
    r = np.where(np.arange(2 * n) % 2 == 0, outer, inner)
    return np.column_stack([r * np.cos(t), r * np.sin(t)])


def shapes():
    ring = lambda pts: [(round(float(x), 4), round(float(y), 4)) for x, y in pts]
    drawn = {n: [Polygon(ring(p.exterior.coords[:-1])) for p in g] for r, n, g, _ in draw_course.build() if r == "fairway"}
    bean = draw_drives.bean(0, 0, 45, 16, 6)
    hole = draw_drives.bean(6, 5, 7, 4, 1, 24)
    biting = draw_drives.bean(0, 15, 8, 5, 0, 24)
    yield "square of 20 m", MultiPolygon([Polygon([(0, 0), (20, 0), (20, 20), (0, 20)])]), None
    yield "L of two arms", MultiPolygon([Polygon([(0, 0), (40, 0), (40, 9), (9, 9), (9, 40), (0, 40)])]), None
    yield "star of seven points", MultiPolygon([Polygon(ring(star(7, 30, 13)))]), None
    yield "bean", MultiPolygon([Polygon(bean)]), None
    yield "bean with a bunker inside", MultiPolygon([Polygon(bean)]), MultiPolygon([Polygon(hole)])
    yield "bean with a bunker on the edge", MultiPolygon([Polygon(bean)]), MultiPolygon([Polygon(biting)])
    for n in ("4", "5", "7", "9"):
        yield f"fairway {n} of the sample", MultiPolygon(drawn[n]), None


def coords(m):
    return [[[list(c) for c in r.coords] for r in [p.exterior, *p.interiors]] for p in m.geoms] if m else []


def derive():
    cases = []
    for name, outline, keep in shapes():
        ground = outline.difference(keep) if keep else outline
        row = {"name": name, "outline": coords(outline), "keep_outs": coords(keep), "area_m2": ground.area,
               "shrunk_by_3_m2": ground.buffer(-3.0, quad_segs=SEGS).area, "grown_by_2_m2": ground.buffer(2.0, quad_segs=SEGS).area, "reach": []}
        for w in DECKS_M:
            reach = ground.buffer(-w / 2, quad_segs=SEGS).buffer(w / 2, quad_segs=SEGS).intersection(ground)
            row["reach"].append({"deck_m": w, "area_m2": reach.area})
        cases.append(row)
    return {"source": f"shapely {shapely.__version__} (GEOS {shapely.geos_version_string}): area, buffer, difference", "cases": cases}
