"""Plane coordinates from PROJ and distances from GeographicLib, round courses near and far."""

import math

import geographiclib
import pyproj
from geographiclib.geodesic import Geodesic

STORED = "geodesy.json"

# lon, lat of the plane's origin; invented places chosen for their latitude and meridian.
ORIGINS = {
    "mid north": (-103.0874, 45.0312),
    "equator": (10.0, 0.0),
    "far north": (19.0, 69.5),
    "south": (147.3, -42.9),
    "antimeridian": (179.9995, -17.8),
}
# bearing, metres
RAYS = [(0, 500), (90, 1000), (180, 3000), (270, 3000), (41.5, 1500), (222.25, 2999)]


def derive():
    g = Geodesic.WGS84
    places = []
    for name, (lon0, lat0) in ORIGINS.items():
        aeqd = pyproj.Proj(proj="aeqd", lon_0=lon0, lat_0=lat0, ellps="WGS84")
        points = []
        for bearing, metres in RAYS:
            d = g.Direct(lat0, lon0, bearing, metres)
            lon, lat = round(d["lon2"], 9), round(d["lat2"], 9)
            inv = g.Inverse(lat0, lon0, lat, lon)
            x, y = aeqd(lon, lat)
            points.append({"lon": lon, "lat": lat, "distance_m": inv["s12"], "bearing_deg": inv["azi1"] % 360, "x_m": x, "y_m": y})
        pairs = []
        for i, j in ((0, 1), (2, 3), (4, 5), (1, 3)):
            a, b = points[i], points[j]
            pairs.append({"from": i, "to": j, "geodesic_m": g.Inverse(a["lat"], a["lon"], b["lat"], b["lon"])["s12"]})
        places.append({"name": name, "lon": lon0, "lat": lat0, "points": points, "pairs": pairs})
    return {
        "source": f"PROJ {pyproj.proj_version_str} (pyproj {pyproj.__version__}) +proj=aeqd; GeographicLib {geographiclib.__version__}",
        "places": places,
    }
