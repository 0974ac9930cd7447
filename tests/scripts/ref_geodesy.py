"""Plane coordinates from PROJ, distances from GeographicLib, and both again from Vincenty's formulae.

GeographicLib, PROJ's geodesics and the crate that our plane stands on are one author's. Vincenty's
formulae are another way to the same geodesic, written out here from the paper: T. Vincenty, *Direct
and inverse solutions of geodesics on the ellipsoid with application of nested equations*, Survey
Review 23(176), 1975, pp. 88 to 93. The last digits of the sample line of the GDA94 Technical Manual
(Flinders Peak to Buninyong, 54,972.271 m; from memory) show that they are written out rightly.
"""

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


# WGS 84 and GRS 80: semi-major axis, flattening.
WGS84 = (6378137.0, 1 / 298.257223563)
GRS80 = (6378137.0, 1 / 298.257222101)


def vincenty(lat1, lon1, lat2, lon2, ellipsoid=WGS84):
    """Length of the geodesic, metres, and its azimuth at the first point, degrees."""
    a, f = ellipsoid
    b = a * (1 - f)
    u1, u2 = (math.atan((1 - f) * math.tan(math.radians(v))) for v in (lat1, lat2))
    length = math.radians((lon2 - lon1 + 180) % 360 - 180)
    lam = length
    for _ in range(200):
        s, c = math.sin(lam), math.cos(lam)
        y, x = math.cos(u2) * s, math.cos(u1) * math.sin(u2) - math.sin(u1) * math.cos(u2) * c
        sin_sigma = math.hypot(y, x)
        if sin_sigma == 0:
            return 0.0, 0.0
        cos_sigma = math.sin(u1) * math.sin(u2) + math.cos(u1) * math.cos(u2) * c
        sigma = math.atan2(sin_sigma, cos_sigma)
        sin_alpha = math.cos(u1) * math.cos(u2) * s / sin_sigma
        cos2_alpha = 1 - sin_alpha**2
        # On the equator the middle of the line is of no account.
        cos_2m = cos_sigma - 2 * math.sin(u1) * math.sin(u2) / cos2_alpha if cos2_alpha > 1e-15 else 0.0
        k = f / 16 * cos2_alpha * (4 + f * (4 - 3 * cos2_alpha))
        before = lam
        lam = length + (1 - k) * f * sin_alpha * (sigma + k * sin_sigma * (cos_2m + k * cos_sigma * (2 * cos_2m**2 - 1)))
        if abs(lam - before) < 1e-15:
            break
    u_squared = cos2_alpha * (a * a - b * b) / (b * b)
    big_a = 1 + u_squared / 16384 * (4096 + u_squared * (-768 + u_squared * (320 - 175 * u_squared)))
    big_b = u_squared / 1024 * (256 + u_squared * (-128 + u_squared * (74 - 47 * u_squared)))
    delta = big_b * sin_sigma * (
        cos_2m + big_b / 4 * (cos_sigma * (2 * cos_2m**2 - 1) - big_b / 6 * cos_2m * (4 * sin_sigma**2 - 3) * (4 * cos_2m**2 - 3)))
    return b * big_a * (sigma - delta), math.degrees(math.atan2(y, x)) % 360


def dms(d, m, s):
    return math.copysign(abs(d) + m / 60 + s / 3600, d)


FLINDERS_PEAK = (dms(-37, 57, 3.72030), dms(144, 25, 29.52440))
BUNINYONG = (dms(-37, 39, 10.15610), dms(143, 55, 35.38390))


def derive():
    line, azimuth = vincenty(*FLINDERS_PEAK, *BUNINYONG, GRS80)
    assert abs(line - 54972.271) < 1e-3 and abs(azimuth - dms(306, 52, 5.37)) < 1e-5, (line, azimuth)
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
            points.append({"lon": lon, "lat": lat, "distance_m": inv["s12"], "bearing_deg": inv["azi1"] % 360, "x_m": x, "y_m": y,
                           "vincenty_m": vincenty(lat0, lon0, lat, lon)[0], "vincenty_deg": vincenty(lat0, lon0, lat, lon)[1]})
        pairs = []
        for i, j in ((0, 1), (2, 3), (4, 5), (1, 3)):
            a, b = points[i], points[j]
            ends = a["lat"], a["lon"], b["lat"], b["lon"]
            pairs.append({"from": i, "to": j, "geodesic_m": g.Inverse(*ends)["s12"], "vincenty_m": vincenty(*ends)[0]})
        places.append({"name": name, "lon": lon0, "lat": lat0, "points": points, "pairs": pairs})
    return {
        "proj": f"PROJ {pyproj.proj_version_str} (pyproj {pyproj.__version__}) +proj=aeqd",
        "geographiclib": f"GeographicLib {geographiclib.__version__}",
        "places": places,
    }
