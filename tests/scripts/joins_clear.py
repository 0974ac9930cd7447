"""Whether any join of a plan enters a keep-out or no-turn ground, with shapely.

    python joins_clear.py ../../samples/quillback.geojson plan.json    exit 1 if one does

The course file is read and projected here again (azimuthal equidistant about the plan's
origin, by pyproj), so nothing of the planner is trusted but its tracks.
"""
import json
import math
import sys

import shapely
from pyproj import Transformer
from shapely.geometry import LineString

CHORD_M = 0.002


def points(track):
    if "line" in track:
        return track["line"]
    arc = track["arc"]
    r, sweep = arc["radius"], math.radians(arc["sweep_deg"])
    step = 2 * math.acos(1 - min(1.0, CHORD_M / r))
    n = max(1, math.ceil(abs(sweep) / step))
    start = math.radians(arc["from_deg"])
    cx, cy = arc["centre"]
    return [
        (cx + r * math.cos(start + sweep * i / n), cy + r * math.sin(start + sweep * i / n))
        for i in range(n + 1)
    ]


course, plan = (json.load(open(p)) for p in sys.argv[1:3])
o = plan["origin"]
flat = Transformer.from_crs(
    "EPSG:4326", f"+proj=aeqd +lat_0={o['lat']} +lon_0={o['lon']} +ellps=WGS84 +units=m", always_xy=True
).transform
barred = []
for f in course["features"]:
    role = f["properties"].get("role")
    if role in ("keep-out", "green", "tee", "no-turn"):
        shape = shapely.make_valid(shapely.geometry.shape(f["geometry"]))
        # A hundredth of a millimetre of slack for two projections.
        barred.append((role, shapely.transform(shape, flat, interleaved=False).buffer(-1e-5)))
joins = bad = 0
for mow in plan["mows"]:
    for t in mow["tracks"]:
        if t["reels"] != "up":
            continue
        joins += 1
        line = LineString(points(t))
        for role, shape in barred:
            if line.intersects(shape):
                bad += 1
                print(f"fairway {mow['fairway']}: {line.intersection(shape).length:.3f} m of a join at {line.coords[0]} on {role} ground")
print(f"{joins} joins against {len(barred)} shapes: {bad} enter")
sys.exit(bool(bad))
