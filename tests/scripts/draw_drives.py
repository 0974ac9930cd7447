"""Drives over invented ground, laid without the planner: what our measures are tried on.

Each is a plan file of the contract without its figures. They bring what a planner seldom
does: arcs of more than a turn, a turning centre under the deck, a reel over a keep-out.
"""

import json
import math
import pathlib

import numpy as np

FOLDER = pathlib.Path(__file__).resolve().parents[1] / "stored" / "drives"
# Speeds of our own choosing, each different, so that a mix-up shows.
SPEEDS = {"speeds_m_s": {"mowing": 2.1, "loops": 1.5, "transport": 3.1, "turning": 1.3}, "lift_lower_s": 1.7}
BAR = {"cutting_width_m": 2.54, "units": [{"across_m": 0.0, "ahead_m": 0.0, "width_m": 2.54}], "turning_radius_m": 2.0, **SPEEDS}
SAMPLES = pathlib.Path(__file__).resolve().parents[2] / "samples"


def light_five():
    m = json.loads((SAMPLES / "light-five.json").read_text())
    left = max(u["across_m"] + u["width_m"] / 2 for u in m["units"])
    right = min(u["across_m"] - u["width_m"] / 2 for u in m["units"])
    return {"cutting_width_m": left - right, "units": m["units"], "turning_radius_m": m["turning_radius_m"], **SPEEDS}


def bean(cx, cy, rx, ry, bend, n=64):
    t = np.linspace(0, 2 * math.pi, n, endpoint=False)
    x, y = rx * np.cos(t), ry * np.sin(t) * (1 + 0.18 * np.cos(2 * t + 0.4))
    pts = np.column_stack([cx + x, cy + y + bend * (x / rx) ** 2])
    ring = [[round(float(a), 4), round(float(b), 4)] for a, b in pts]
    return ring + [ring[0]]


class Drive:
    """Tracks laid end to end from a pose."""

    def __init__(self, x, y, heading_deg):
        self.x, self.y, self.h = x, y, math.radians(heading_deg)
        self.tracks = []

    def go(self, metres, reels="down"):
        x, y = self.x + metres * math.cos(self.h), self.y + metres * math.sin(self.h)
        self.tracks.append({"reels": reels, "line": [[self.x, self.y], [x, y]]})
        self.x, self.y = x, y
        return self

    def turn(self, radius, sweep_deg, reels="down"):
        side = math.copysign(1, sweep_deg)
        cx, cy = self.x - side * radius * math.sin(self.h), self.y + side * radius * math.cos(self.h)
        start = self.h - side * math.pi / 2
        self.tracks.append({"reels": reels, "arc": {"centre": [cx, cy], "radius": radius, "from_deg": math.degrees(start), "sweep_deg": sweep_deg}})
        end = start + math.radians(sweep_deg)
        self.x, self.y = cx + radius * math.cos(end), cy + radius * math.sin(end)
        self.h += math.radians(sweep_deg)
        return self


def stripes(d, n, length, spacing):
    for i in range(n):
        d.go(length)
        side = 180.0 if i % 2 == 0 else -180.0
        # A U-turn as wide as the spacing; the radius is no concern of a measure.
        d.turn(spacing / 2, side, "up")
    return d


def drives():
    ground = [bean(0, 0, 45, 16, 6)]
    out = {}

    def add(name, mower, drive, outline, keep_outs=(), pattern="stripes"):
        out[name] = {
            "schema": "crossgrain-plan/1",
            "origin": {"lon": -103.0874, "lat": 45.0312},
            "mower": mower,
            "mows": [{"fairway": name, "pattern": pattern, "heading_deg": None, "sense": "cw", "settings": {},
                      "outline": outline, "keep_outs": list(keep_outs), "tracks": drive.tracks,
                      # The loops' drives are lanes from beginning to end, the others stripes.
                      "legs": [{"index": 0, "role": "lane" if pattern == "loops" else "stripe", "tracks": [0, len(drive.tracks)]}]}],
        }

    add("stripes", BAR, stripes(Drive(-48, -14, 3), 14, 96, 2.44), [ground])
    hole = bean(6, 5, 7, 4, 1, 24)
    add("over-a-keep-out", BAR, stripes(Drive(-48, -14, 3), 14, 96, 2.44), [ground + [hole[::-1]]], [[hole]])
    five = light_five()
    add("five-units", five, stripes(Drive(-46, -15, -2), 14, 94, 2.44), [ground])
    loops = Drive(-40, -3, 90)
    for _ in range(28):
        loops.turn(3.9, -180).turn(2.8, -180)
    add("drift-loops", BAR, loops, [ground], pattern="loops")
    loops = Drive(40, 8, -90)
    for _ in range(26):
        loops.turn(3.35, -180).turn(2.3, -180)
    add("drift-loops-five-units", five, loops, [ground], pattern="loops")
    roll = Drive(-40, 0, 0)
    for _ in range(20):
        roll.turn(4.0, 360).go(2.3)
    add("roll-loops", five, roll, [ground], pattern="loops")
    add("laps", BAR, Drive(10, -6, 0).turn(7, 900).turn(9, -500), [ground], pattern="rings")
    add("centre-under-the-deck", five, Drive(-8, 0, 20).go(6).turn(0.7, 250).go(5).turn(0.3, -130).go(8), [ground])
    a, b = bean(-24, 0, 20, 9, 2, 40), bean(24, 4, 19, 8, -2, 40)
    add("two-parts", BAR, stripes(Drive(-46, -10, 5), 11, 92, 2.44), [[a], [b]])
    rng = np.random.default_rng(4)
    walk = Drive(0, 0, 40)
    for _ in range(40):
        reels = "up" if rng.random() < 0.25 else "down"
        if rng.random() < 0.4:
            walk.go(float(rng.uniform(1, 9)), reels)
        else:
            walk.turn(float(rng.uniform(1.0, 7)), float(rng.uniform(30, 200) * rng.choice([-1, 1])), reels)
    add("wandering", five, walk, [ground])
    return out


def text(plan):
    def tidy(v):
        if isinstance(v, float):
            return round(v, 9)
        if isinstance(v, dict):
            return {k: tidy(x) for k, x in v.items()}
        if isinstance(v, list):
            return [tidy(x) for x in v]
        return v

    return json.dumps(tidy(plan)) + "\n"
