"""Points in map coordinate systems, from PROJ (pyproj): definitions in three dialects of
well-known text, coordinates in the map's unit, longitude and latitude on the system's datum."""

import random

from pyproj import CRS, Transformer

STORED = "systems.json"
DIALECTS = ["WKT1_ESRI", "WKT1_GDAL", "WKT2_2019"]
# EPSG codes: UTM north and south, New Zealand, state plane in feet (international and US survey)
# on Lambert and transverse Mercator, Albers, web Mercator, Australia, Alaska's oblique Mercator.
CODES = [32611, 32756, 25832, 2193, 2223, 2227, 3424, 5070, 3857, 7855, 26931, 6423, 26986, 3111, 4269]
POINTS = 20


def points(crs, draw):
    a = crs.area_of_use
    east = a.east if a.east > a.west else a.east + 360
    out = []
    while len(out) < POINTS:
        lon = a.west + (east - a.west) * (0.02 + 0.96 * draw.random())
        lat = a.south + (a.north - a.south) * (0.02 + 0.96 * draw.random())
        lon = (lon + 180) % 360 - 180
        # No golf course lies nearer to a pole, and web Mercator grows without bound there.
        if abs(lat) < 72:
            out.append((lon, lat))
    return out


def derive():
    draw = random.Random(22)
    systems = []
    for code in CODES:
        crs = CRS.from_epsg(code)
        to_map = Transformer.from_crs(crs.geodetic_crs, crs, always_xy=True)
        rows = []
        for lon, lat in points(crs, draw):
            x, y = to_map.transform(lon, lat)
            rows.append([x, y, lon, lat])
        systems.append({"code": code, "name": crs.name, "wkt": {d: crs.to_wkt(d) for d in DIALECTS}, "points": rows})
    return {"source": "PROJ through pyproj", "columns": ["x", "y", "lon_deg", "lat_deg"], "systems": systems}
