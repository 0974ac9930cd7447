#!/usr/bin/env python3
"""Draws the invented sample course: samples/quillback.geojson.

Nothing here is surveyed. Every hole is a centre line and a pair of widths that change along
it; outlines are splines through those, sampled every 3 to 8 m the way a person digitises an
aerial photograph: closer on curves, wider on straights. The same script gives the same bytes.

    python tests/scripts/draw_course.py             writes samples/quillback.geojson
    python tests/scripts/draw_course.py --check     fails if the committed file differs
    python tests/scripts/draw_course.py --picture OUT.png

Versions are pinned in requirements.txt; the picture also needs matplotlib.
"""

import argparse
import json
import math
import pathlib
import sys

import numpy as np
from geographiclib.geodesic import Geodesic
from scipy.interpolate import CubicSpline, PchipInterpolator
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.polygon import orient
from shapely.ops import unary_union

OUT = pathlib.Path(__file__).resolve().parents[2] / "samples" / "quillback.geojson"

# Open range land far from any town; the place and the club are invented.
ORIGIN_LAT, ORIGIN_LON = 45.0312, -103.0874
# Middle of the property in the drawing below, metres.
CENTRE = (410.0, 320.0)
STEP_TIGHT_M, STEP_STRAIGHT_M = 3.0, 8.0
NECK_M = 2.2
DECK_M = 2.54


# ---------------------------------------------------------------- curves


def spline(points, step=1.0):
    """A smooth open curve through the points, sampled about every step metres."""
    p = np.asarray(points, float)
    chord = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
    cs = CubicSpline(chord, p, bc_type="natural")
    n = max(2, int(chord[-1] / step))
    return cs(np.linspace(0, chord[-1], n + 1))


def closed_spline(points, step=0.5):
    """A smooth closed curve through the points, sampled about every step metres."""
    p = np.asarray(points, float)
    p = np.vstack([p, p[:1]])
    chord = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
    cs = CubicSpline(chord, p, bc_type="periodic")
    n = max(8, int(chord[-1] / step))
    return cs(np.linspace(0, chord[-1], n + 1)[:-1])


def digitise(dense, tight=STEP_TIGHT_M, straight=STEP_STRAIGHT_M):
    """Picks vertices of a dense closed curve: close where it bends, far apart where it does not."""
    p = np.asarray(dense, float)
    nxt, prv = np.roll(p, -1, axis=0), np.roll(p, 1, axis=0)
    a, b = p - prv, nxt - p
    turn = np.abs(np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(1)))
    length = (np.hypot(*a.T) + np.hypot(*b.T)) / 2
    curvature = turn / np.maximum(length, 1e-9)
    # Smooth the curvature a little, so that spacing does not jump.
    k = np.convolve(np.r_[curvature[-9:], curvature, curvature[:9]], np.ones(19) / 19, "valid")
    # A hand sees about 0.15 m of sagitta: step = sqrt(8 * sagitta / curvature).
    step = np.clip(np.sqrt(8 * 0.15 / np.maximum(k, 1e-6)), tight, straight)
    keep, run = [0], 0.0
    for i in range(1, len(p)):
        run += math.dist(p[i], p[i - 1])
        if run >= step[i]:
            keep.append(i)
            run = 0.0
    # No stub between the last vertex and the first.
    if math.dist(p[keep[-1]], p[0]) < 0.6 * tight:
        keep.pop()
    return p[keep]


def blob(cx, cy, along, across, bearing_deg, seed, roughness=0.16, tight=STEP_TIGHT_M):
    """A rounded, slightly irregular shape: a green, a bunker, a pond, a wood."""
    rng = np.random.default_rng(seed)
    ang = np.linspace(0, 2 * math.pi, 720, endpoint=False)
    r = np.ones_like(ang)
    for k in (2, 3, 4, 5):
        r += roughness / k * rng.uniform(0.5, 1.0) * 1.5 * np.cos(k * ang + rng.uniform(0, 2 * math.pi))
    x, y = along / 2 * r * np.cos(ang), across / 2 * r * np.sin(ang)
    t = math.radians(90 - bearing_deg)
    pts = np.c_[cx + x * math.cos(t) - y * math.sin(t), cy + x * math.sin(t) + y * math.cos(t)]
    return digitise(closed_spline(pts[::12]), tight)


def kidney(cx, cy, length, width, bearing_deg, bend, seed):
    """A bunker bent round its middle by bend radians: two or three pots run together."""
    rng = np.random.default_rng(seed)
    half = width / 2
    spine = np.linspace(-0.5, 0.5, 25)
    reach = length - width
    pots = rng.uniform(0.8, 1.1, 3)
    discs = []
    for u in spine:
        a = bend * u
        radius = reach / abs(bend)
        x, y = radius * math.sin(abs(bend) * u), math.copysign(radius, bend) * (1 - math.cos(a))
        size = half * np.interp(u, [-0.5, -0.15, 0.12, 0.5], [pots[0], 0.82, pots[1], 0.95 * pots[2]])
        discs.append(Point(x, y).buffer(size, quad_segs=16))
    shape = unary_union(discs).buffer(1.5).buffer(-1.5)
    t = math.radians(90 - bearing_deg)
    rot = np.array([[math.cos(t), -math.sin(t)], [math.sin(t), math.cos(t)]])
    return digitise(closed_spline(densify(shape.exterior, 1.2) @ rot.T + (cx, cy), 0.25), 1.6, 3.5)


def tee_box(x, y, length, width, bearing_deg):
    """A rounded rectangle."""
    box = Polygon([(-length / 2, -width / 2), (length / 2, -width / 2), (length / 2, width / 2), (-length / 2, width / 2)])
    ring = np.array(box.buffer(-1.5).buffer(1.5, quad_segs=3).exterior.coords[:-1])
    t = math.radians(90 - bearing_deg)
    rot = np.array([[math.cos(t), -math.sin(t)], [math.sin(t), math.cos(t)]])
    return ring @ rot.T + (x, y)


class CentreLine:
    """The line of play as a smooth curve with places named by metres from the tee."""

    def __init__(self, points):
        self.pts = spline(points, 0.5)
        self.s = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(self.pts, axis=0).T))])
        self.length = self.s[-1]

    def at(self, s):
        if s > self.length:
            return self.pts[-1] + (s - self.length) * self.tangent(self.length)
        return np.array([np.interp(s, self.s, self.pts[:, 0]), np.interp(s, self.s, self.pts[:, 1])])

    def tangent(self, s):
        s = min(s, self.length)
        d = self.at(min(s + 2, self.length)) - self.at(max(s - 2, 0))
        return d / np.hypot(*d)

    def beside(self, s, left):
        """The point left metres to the left of the line."""
        t = self.tangent(s)
        return self.at(s) + left * np.array([-t[1], t[0]])

    def bearing(self, s):
        t = self.tangent(s)
        return math.degrees(math.atan2(t[0], t[1])) % 360


def fairway_ring(line, widths, seed, neck=None, cap_m=16.0):
    """Outline along a centre line. widths: rows of (metres from tee, left, right).

    neck: (metres from tee, length of the narrowest part, ramp) where both sides close in.
    """
    w = np.asarray(widths, float)
    s0, s1 = w[0, 0], w[-1, 0]
    left, right = PchipInterpolator(w[:, 0], w[:, 1]), PchipInterpolator(w[:, 0], w[:, 2])
    rng = np.random.default_rng(seed)
    waves = [(rng.uniform(45, 95), rng.uniform(0, 2 * math.pi), rng.uniform(0.5, 1.3)) for _ in range(4)]
    # Rounded ends, each a little different.
    cap0, cap1 = cap_m * rng.uniform(0.9, 1.3), cap_m * rng.uniform(0.7, 1.1)
    # Stations crowd at the rounded ends, where the side turns fastest.
    u = np.linspace(0, math.pi, int((s1 - s0) / 0.7))
    stations = s0 + (s1 - s0) * (1 - np.cos(u)) / 2

    def half(s, side):
        wob = sum(a * math.sin(2 * math.pi * s / lam + ph) for lam, ph, a in waves[side * 2 : side * 2 + 2])
        h = float((left, right)[side](s)) + wob
        if neck:
            at, flat, ramp = neck
            d = max(0.0, abs(s - at) - flat / 2) / ramp
            ease = 1.0 if d >= 1 else d * d * (3 - 2 * d)
            h = NECK_M / 2 + (h - NECK_M / 2) * ease
        for edge, cap in ((s - s0, cap0), (s1 - s, cap1)):
            if edge < cap:
                h *= max(0.0, 1 - (1 - edge / cap) ** 2.2) ** (1 / 2.2)
        return h

    sides = []
    for side, sign in ((0, 1), (1, -1)):
        sides.append(np.array([line.beside(s, sign * half(s, side)) for s in stations]))
    ring = np.vstack([sides[1], sides[0][::-1][1:-1]])
    # An even, dense ring before vertices are picked.
    closed = LineString(np.vstack([ring, ring[:1]]))
    n = int(closed.length / 0.4)
    dense = np.array([closed.interpolate(i * closed.length / n).coords[0] for i in range(n)])
    return digitise(dense)


# ---------------------------------------------------------------- the course

HOLES = {
    "1": dict(line=[(398, 62), (300, 38), (205, 44), (118, 84), (62, 142)],
              widths=[(92, 14, 15), (135, 17, 17), (205, 19, 20), (262, 19, 17), (320, 16, 17), (364, 12, 14)]),
    "2": dict(line=[(30, 196), (44, 290), (38, 385), (70, 490)],
              widths=[(68, 13, 13), (110, 16, 17), (168, 18, 20), (222, 19, 17), (262, 15, 16), (284, 12, 13)]),
    "3": dict(line=[(36, 540), (120, 568), (222, 582)],
              widths=[(52, 11, 12), (96, 14, 16), (140, 15, 15), (172, 13, 12)], cap_m=13),
    "4": dict(line=[(262, 618), (360, 578), (470, 572), (570, 604), (668, 606), (742, 568)],
              parts=[[(96, 14, 14), (140, 17, 18), (190, 19, 19), (236, 17, 15), (254, 15, 13)],
                     [(288, 15, 15), (326, 18, 18), (386, 20, 18), (440, 16, 17), (486, 13, 13)]]),
    "5": dict(line=[(786, 518), (772, 420), (758, 330), (712, 242)],
              widths=[(66, 13, 12), (104, 17, 16), (160, 20, 18), (214, 18, 18), (256, 15, 16), (274, 13, 13)]),
    "6": dict(line=[(780, 214), (790, 130), (752, 66), (664, 40), (562, 48)],
              widths=[(70, 13, 13), (112, 16, 18), (165, 17, 20), (222, 16, 18), (290, 15, 16), (338, 12, 12)]),
    "7": dict(line=[(560, 108), (574, 205), (612, 300), (622, 428)],
              widths=[(62, 14, 14), (100, 18, 17), (150, 19, 19), (205, 18, 19), (262, 18, 17), (298, 13, 14)],
              neck=(176, 9.0, 21.0)),
    "8": dict(line=[(596, 494), (512, 508), (420, 492), (335, 500), (262, 484)],
              widths=[(78, 13, 13), (118, 16, 16), (176, 17, 18), (232, 17, 18), (280, 15, 15), (312, 12, 13)]),
    "9": dict(line=[(176, 446), (158, 350), (178, 262), (250, 190), (346, 158), (424, 122)],
              widths=[(84, 14, 13), (128, 18, 17), (186, 21, 19), (245, 21, 20), (310, 19, 18), (390, 17, 17), (462, 13, 14)]),
}

# Greens: length, width, how far past the end of the line of play.
GREENS = {"1": (30, 23), "2": (27, 24), "3": (29, 21), "4": (33, 24), "5": (26, 22), "6": (28, 25),
          "7": (30, 22), "8": (26, 24), "9": (33, 26)}

# Bunkers: hole, metres from tee, metres left of the line (negative: right), length, width, bend, turned by.
# "inside" and "edge" are checked below; "rough" stands clear of the fairway.
BUNKERS = [
    ("1", 230, -4, 15, 8, 1.1, 20, "inside"),
    ("1", 188, 20, 19, 8, 0.9, 8, "edge"),
    ("1", 380, -22, 15, 7, 1.2, -65, "rough"),
    ("2", 196, -19.5, 21, 8, 1.0, -6, "edge"),
    ("2", 300, -20, 15, 7, 1.2, -60, "rough"),
    ("3", 160, 24, 14, 7, 1.2, 30, "rough"),
    ("3", 172, -19, 16, 7, -1.2, -35, "rough"),
    ("4", 205, 18.5, 22, 9, -0.9, 4, "edge"),
    ("4", 366, -19, 18, 8, 1.0, -8, "edge"),
    ("4", 420, 3, 14, 8, 1.2, 75, "inside"),
    ("4", 505, 20, 14, 7, 1.3, 55, "rough"),
    ("5", 178, 6, 13, 7.5, 1.1, 60, "inside"),
    ("5", 292, -19, 15, 7, 1.2, -60, "rough"),
    ("6", 152, -20, 20, 8, -1.0, 10, "edge"),
    ("6", 350, 20, 15, 7, 1.1, 60, "rough"),
    ("7", 118, 19, 17, 8, -1.0, -4, "edge"),
    ("7", 312, -19, 14, 7, 1.2, -50, "rough"),
    ("8", 150, -18.5, 20, 8, 1.0, 6, "edge"),
    ("8", 326, 20, 15, 7, 1.2, 55, "rough"),
    ("9", 224, 21.5, 22, 9, -1.0, -4, "edge"),
    ("9", 268, -20.5, 17, 8, 0.9, 6, "edge"),
    ("9", 474, -23, 16, 7, 1.2, -55, "rough"),
]

# Woods and lone trees: x, y, along, across, bearing.
TREES = [
    (110, 300, 104, 28, 4), (110, 420, 84, 30, 12), (150, 532, 50, 18, 68), (352, 538, 120, 20, 94),
    (500, 545, 84, 20, 80), (690, 470, 90, 34, 160), (690, 350, 100, 34, 10), (680, 130, 110, 44, 78),
    (655, 215, 66, 26, 15), (300, 104, 110, 26, 100), (160, 170, 70, 30, 140), (480, 180, 130, 28, 8),
    (520, 330, 120, 30, 18), (90, 40, 70, 26, 110), (250, 335, 90, 44, 30),
]
# Single oaks with room to play round: hole, metres from tee, metres left.
OAKS = [("9", 322, 7.5, 7.0), ("6", 236, -19, 8.0)]

POND = (402, 440, 140, 52, 84)
STREAM = [(520, 660), (534, 622), (524, 588), (536, 552), (510, 528)]


def build():
    feats, shapes = [], []

    def add(role, name, geom, **props):
        shapes.append((role, name, geom, props))

    lines = {n: CentreLine(h["line"]) for n, h in HOLES.items()}
    fairways = {}
    for n, h in HOLES.items():
        parts = h.get("parts") or [h["widths"]]
        rings = [fairway_ring(lines[n], w, 100 * int(n) + i, h.get("neck"), h.get("cap_m", 16.0))
                 for i, w in enumerate(parts)]
        fairways[n] = [Polygon(r) for r in rings]
        add("fairway", n, fairways[n])

    greens = {}
    for n, (length, width) in GREENS.items():
        line = lines[n]
        centre = line.at(line.length)
        greens[n] = Polygon(blob(*centre, length, width, line.bearing(line.length), 7000 + int(n), 0.10))
        add("green", n, [greens[n]])
        bearing = line.bearing(0)
        back, front = line.beside(2, 0), line.beside(22, 4.5)
        add("tee", n, [Polygon(tee_box(*back, 14, 8, bearing)), Polygon(tee_box(*front, 9, 7, bearing + 3))])
        add("hole", n, LineString([line.at(s) for s in np.linspace(0, line.length, 9)]))

    for i, (n, s, off, length, width, bend, turn, where) in enumerate(BUNKERS):
        line = lines[n]
        c = line.beside(s, off)
        add("keep-out", None, [Polygon(kidney(*c, length, width, line.bearing(s) + turn, bend, 9000 + i))],
            kind="bunker", hole=n, _where=where)

    add("keep-out", "Mill pond", [Polygon(blob(*POND, 41, 0.26, 4.0))], kind="water")
    stream = LineString(spline(STREAM, 1.0)).buffer(2.6, cap_style="round")
    add("keep-out", "Quillback Run", [Polygon(digitise(densify(stream.exterior), 3.0))], kind="water")
    for i, t in enumerate(TREES):
        add("keep-out", None, [Polygon(blob(*t, 5000 + i, 0.34, 4.0))], kind="trees")
    for i, (n, s, off, size) in enumerate(OAKS):
        add("keep-out", None, [Polygon(blob(*lines[n].beside(s, off), size, size, 0, 6000 + i, 0.1, 2.0))], kind="trees")

    # A steep bank falls away beyond the left side of the fifth; the pond's margin is soft.
    bank = [lines["5"].beside(s, o) for s, o in
            [(92, 22), (130, 23.5), (170, 25), (210, 24), (246, 22), (250, 36), (210, 42), (160, 43), (110, 39), (86, 31)]]
    add("no-turn", "Steep bank", [Polygon(digitise(closed_spline(bank)))], why="steep bank")
    pond = next(g for _, n, g, _ in shapes if n == "Mill pond")[0]
    margin = pond.buffer(3.0).difference(pond)
    add("no-turn", "Pond margin", [Polygon(digitise(densify(margin.exterior), 4.0), [digitise(densify(margin.interiors[0]), 4.0)])],
        why="soft ground, water edge")

    # Crews come in from the side of the path, short of the landing area.
    for n in HOLES:
        first = fairways[n][0]
        line = lines[n]
        s = 60.0
        while not first.contains(Point(line.at(s))):
            s += 1
        add("way-in", n, Point(line.at(s)))
    return shapes


def densify(ring, step=0.5):
    n = int(ring.length / step)
    return np.array([ring.interpolate(i * ring.length / n).coords[0] for i in range(n)])


# ---------------------------------------------------------------- checks, file, picture


def check(shapes):
    """The drawing is what the note on it says; raises when it is not."""
    fairways = {n: g for r, n, g, _ in shapes if r == "fairway"}
    for role, name, geom, _ in shapes:
        if isinstance(geom, list):
            for p in geom:
                assert p.is_valid, (role, name)
    allf = {n: unary_union(g) for n, g in fairways.items()}
    names = list(allf)
    for i, a in enumerate(names):
        for b in names[i + 1 :]:
            assert allf[a].distance(allf[b]) > 12, f"fairways {a} and {b} are {allf[a].distance(allf[b]):.1f} m apart"
    assert len(fairways["4"]) == 2 and fairways["4"][0].distance(fairways["4"][1]) > 15
    for role, name, geom, props in shapes:
        if props.get("kind") == "bunker":
            b, f = geom[0], allf[props["hole"]]
            inside = b.intersection(f).area / b.area
            want = props["_where"]
            ok = {"inside": b.within(f) and f.boundary.distance(b) > 4,
                  "edge": 0.1 < inside < 0.9, "rough": not b.intersects(f)}[want]
            assert ok, f"bunker on {props['hole']} should be {want}: {inside:.2f} inside"
            others = unary_union([g for n, g in allf.items() if n != props["hole"]])
            assert not b.intersects(others)
        if props.get("kind") == "water":
            assert all(not geom[0].intersects(f) for f in allf.values()), name
        if props.get("kind") == "trees":
            for n, f in allf.items():
                cut = geom[0].intersection(f).area
                assert cut == 0 or geom[0].area < 80, f"wood at {geom[0].centroid} on fairway {n}"
    # The neck: opening by half a deck parts the fairway in two.
    core = allf["7"].buffer(-DECK_M / 2)
    assert core.geom_type == "MultiPolygon" and len(core.geoms) == 2, "the neck is not narrower than a deck"
    assert allf["7"].buffer(-(NECK_M / 2 - 0.1)).geom_type == "Polygon", "the neck is cut through"
    greens = {n: g[0] for r, n, g, _ in shapes if r == "green"}
    for n, g in greens.items():
        for m, f in allf.items():
            if m != n:
                assert not g.intersects(f)
    return allf


def to_degrees(x, y):
    dx, dy = x - CENTRE[0], y - CENTRE[1]
    g = Geodesic.WGS84.Direct(ORIGIN_LAT, ORIGIN_LON, math.degrees(math.atan2(dx, dy)), math.hypot(dx, dy))
    return [round(g["lon2"], 7), round(g["lat2"], 7)]


def rings(poly):
    p = orient(poly, 1.0)
    return [[to_degrees(*c) for c in ring.coords] for ring in [p.exterior, *p.interiors]]


def geojson(shapes):
    feats = []
    order = ["fairway", "green", "tee", "hole", "way-in", "no-turn", "keep-out"]
    for role, name, geom, props in sorted(shapes, key=lambda s: order.index(s[0])):
        p = {"role": role}
        if name:
            p["name"] = name
        p.update({k: v for k, v in props.items() if not k.startswith("_")})
        if isinstance(geom, list):
            g = ({"type": "Polygon", "coordinates": rings(geom[0])} if len(geom) == 1 else
                 {"type": "MultiPolygon", "coordinates": [rings(q) for q in geom]})
        elif geom.geom_type == "LineString":
            g = {"type": "LineString", "coordinates": [to_degrees(*c) for c in geom.coords]}
        else:
            g = {"type": "Point", "coordinates": to_degrees(geom.x, geom.y)}
        feats.append({"type": "Feature", "properties": p, "geometry": g})
    head = {"type": "FeatureCollection",
            "name": "Quillback Landing Municipal",
            "note": "An invented course at an invented place; nothing on it is surveyed."}
    lines = ",\n".join(json.dumps(f, ensure_ascii=False) for f in feats)
    body = json.dumps(head, ensure_ascii=False)[:-1]
    return f'{body}, "features": [\n{lines}\n]}}\n'


def picture(shapes, path):
    import matplotlib
    matplotlib.use("Agg")
    import matplotlib.pyplot as plt
    fig, ax = plt.subplots(figsize=(13, 10.5))
    ax.set_facecolor("#8fae6a")
    colour = {"fairway": "#b9db8a", "green": "#d9f5b0", "tee": "#c6e59a", "no-turn": "#c9a26a88",
              "bunker": "#f0e3b8", "water": "#7fb2d6", "trees": "#4f7a45"}
    for role, name, geom, props in shapes:
        if isinstance(geom, list):
            for p in geom:
                c = colour[props.get("kind", role)]
                path_ = np.array(p.exterior.coords)
                ax.fill(*path_.T, fc=c, ec="#00000055", lw=0.5, zorder=2 if role in ("fairway", "no-turn") else 3)
        elif role == "hole":
            ax.plot(*np.array(geom.coords).T, "k:", lw=0.6, zorder=4)
            ax.text(*geom.coords[4], name, fontsize=14, zorder=5)
        elif role == "way-in":
            ax.plot(geom.x, geom.y, "r^", ms=4, zorder=6)
    ax.set_aspect("equal")
    fig.tight_layout()
    fig.savefig(path, dpi=90)


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("--check", action="store_true")
    ap.add_argument("--picture")
    args = ap.parse_args()
    shapes = build()
    if args.picture:
        picture(shapes, args.picture)
    allf = check(shapes)
    text = geojson(shapes)
    if args.check:
        if OUT.read_text() != text:
            sys.exit(f"{OUT} is not what draw_course.py draws")
        print("the sample course is as drawn")
        return
    OUT.parent.mkdir(exist_ok=True)
    OUT.write_text(text)
    for n, f in allf.items():
        vertices = sum(len(p.exterior.coords) - 1 for p in getattr(f, "geoms", [f]))
        print(f"{n}: {f.area / 1e4:.2f} ha, {vertices} vertices")
    print(f"{sum(f.area for f in allf.values()) / 1e4:.2f} ha in all")


if __name__ == "__main__":
    main()
