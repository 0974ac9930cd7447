"""The polygons that RFC 7946 shows, drawn small enough for a golf course, and their areas.

The examples are a degree and more across. They are shrunk about one of their corners, which
keeps their rings, their winding and, for the last one, the antimeridian.
"""

import json

import geographiclib
from geographiclib.geodesic import Geodesic

STORED = "geojson.json"

EXAMPLES = [
    ("appendix A.3, no holes", 1000, (100.0, 0.0),
     {"type": "Polygon", "coordinates": [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]]}),
    ("appendix A.3, with holes", 1000, (100.0, 0.0),
     {"type": "Polygon", "coordinates": [
         [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
         [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]]]}),
    ("appendix A.6, MultiPolygon", 1000, (100.0, 0.0),
     {"type": "MultiPolygon", "coordinates": [
         [[[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]],
         [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
          [[100.2, 0.2], [100.2, 0.8], [100.8, 0.8], [100.8, 0.2], [100.2, 0.2]]]]}),
    ("section 3.1.9, cut at the antimeridian", 10000, (180.0, 45.0),
     {"type": "MultiPolygon", "coordinates": [
         [[[180.0, 40.0], [180.0, 50.0], [170.0, 50.0], [170.0, 40.0], [180.0, 40.0]]],
         [[[-170.0, 40.0], [-170.0, 50.0], [-180.0, 50.0], [-180.0, 40.0], [-170.0, 40.0]]]]}),
]


def shrink(ring, factor, about):
    lon0, lat0 = about
    out = []
    for lon, lat in ring:
        # The antimeridian has two names; each half keeps its own.
        middle = -lon0 if lon0 == 180.0 and lon < 0 else lon0
        out.append([round(middle + (lon - middle) / factor, 9), round(lat0 + (lat - lat0) / factor, 9)])
    return out


def area(ring):
    p = Geodesic.WGS84.Polygon()
    for lon, lat in ring[:-1]:
        p.AddPoint(lat, lon)
    return abs(p.Compute(False, True)[2])


def derive():
    cases = []
    for name, factor, about, geometry in EXAMPLES:
        polygons = [geometry["coordinates"]] if geometry["type"] == "Polygon" else geometry["coordinates"]
        small = [[shrink(r, factor, about) for r in p] for p in polygons]
        cases.append({
            "name": name,
            "printed": geometry,
            "small": {**geometry, "coordinates": small[0] if geometry["type"] == "Polygon" else small},
            "polygons": len(small),
            "holes": sum(len(p) - 1 for p in small),
            "area_m2": sum(area(p[0]) - sum(area(r) for r in p[1:]) for p in small),
        })
    return {"areas_by": f"GeographicLib {geographiclib.__version__}: Geodesic.Polygon", "cases": cases}
