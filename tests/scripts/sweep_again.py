#!/usr/bin/env python3
"""Sweeps the tracks of a plan file again, with a general geometry library and nothing of ours.

    python sweep_again.py plan.json ...     compares with the figures in each file; exit 1 on a
                                            difference above --agree (a share of the ground)

Every lowered track is turned into polygons, one for each cutting unit: a quadrilateral on a
line, pieces of a ring on an arc. Where a unit stands ahead of the axle its ends run on their
own radii. Chords replace arcs; their radius is widened so that each piece keeps the exact area.
The ground is then cut into tiles, and in each tile the pieces are laid on one another in levels.
Lay, and mean cuts a second time, come from a raster (raster.py); minutes from the tracks, the
legs that are lanes, and the mower's speeds.
"""

import argparse
import json
import math
import sys

import numpy as np
import shapely
from shapely.geometry import Polygon, box

import raster
from same import is_number, largest

STEP_RAD = math.radians(1.0)
TILE_M = 12.0
# Overlays on a grid never fail on nearly coincident edges, which loop trains are full of.
GRID_M = 1e-8
# Shapes smaller than this are rounding, not ground.
SPECK_M2 = 1e-9
# Largest difference of a figure, as a share.
AGREE = 1e-4


def area_of(polygons):
    """Polygons of the contract as one geometry; what touches itself is made sound."""
    parts = [shapely.make_valid(Polygon(p[0], p[1:])) for p in polygons if len(p[0]) >= 4]
    return shapely.union_all(parts) if parts else Polygon()


def line_piece(track, left, right, ahead):
    (x0, y0), (x1, y1) = track["line"]
    length = math.hypot(x1 - x0, y1 - y0)
    if length == 0:
        return []
    tx, ty = (x1 - x0) / length, (y1 - y0) / length
    corner = lambda x, y, across: (x + ahead * tx - across * ty, y + ahead * ty + across * tx)
    return [[corner(x0, y0, right), corner(x1, y1, right), corner(x1, y1, left), corner(x0, y0, left)]]


def arc_pieces(track, left, right, ahead):
    """Pieces of at most a quarter turn, so that an arc that laps itself counts twice."""
    arc = track["arc"]
    cx, cy = arc["centre"]
    start, sweep = math.radians(arc["from_deg"]), math.radians(arc["sweep_deg"])
    side = 1.0 if sweep >= 0 else -1.0
    # Seen from the turning centre: out along the radius, and forward along the travel.
    out_left, out_right = arc["radius"] - side * left, arc["radius"] - side * right
    spans = [(out_left, out_right)]
    if out_left * out_right < 0:
        # The turning centre lies under the cutting line: its two ends go opposite ways.
        spans = [(out_left, 0.0), (0.0, out_right)]
    pieces = []
    quarters = max(1, math.ceil(abs(sweep) / (math.pi / 2)))
    for q in range(quarters):
        a0, a1 = start + sweep * q / quarters, start + sweep * (q + 1) / quarters
        n = max(1, math.ceil(abs(a1 - a0) / STEP_RAD))
        step = abs(a1 - a0) / n
        widen = math.sqrt(step / math.sin(step)) if step > 1e-9 else 1.0
        angles = np.linspace(a0, a1, n + 1)
        for u, v in spans:
            rows = []
            for out in (u, v):
                r = math.hypot(out, ahead) * widen
                turned = angles + side * math.atan2(ahead, out)
                rows.append(np.column_stack([cx + r * np.cos(turned), cy + r * np.sin(turned)]))
            pieces.append(np.vstack([rows[0], rows[1][::-1]]))
    return pieces


def pieces_of(tracks, units):
    shapes = []
    for t in tracks:
        if t["reels"] != "down":
            continue
        for u in units:
            left, right = u["across_m"] + u["width_m"] / 2, u["across_m"] - u["width_m"] / 2
            make = line_piece if "line" in t else arc_pieces
            shapes += [Polygon(p) for p in make(t, left, right, u["ahead_m"])]
    shapes = [s if s.is_valid else shapely.make_valid(s) for s in shapes]
    return np.array([s for s in shapes if s.area > SPECK_M2], dtype=object)


def solid(shape):
    """The areas of a shape; lines and points left by touching edges upset later steps."""
    if shape.geom_type in ("Polygon", "MultiPolygon"):
        return shape
    parts = shapely.get_parts(shape)
    return shapely.union_all([p for p in parts if p.area > 0])


def times_cut(pieces, ground):
    """Area of ground covered exactly k times, k = 0, 1, 2 ...

    Tile by tile: level k is what at least k of the pieces so far cover. A new piece joins level
    1; what of it was there already goes on to level 2, and so on.
    """
    if ground.is_empty:
        return [0.0]
    least = [0.0]
    tree = shapely.STRtree(pieces) if len(pieces) else None
    x0, y0, x1, y1 = ground.bounds
    for ix in range(math.ceil((x1 - x0) / TILE_M)):
        for iy in range(math.ceil((y1 - y0) / TILE_M)):
            x, y = x0 + ix * TILE_M, y0 + iy * TILE_M
            tile = ground.intersection(box(x, y, x + TILE_M, y + TILE_M))
            if tile.area <= SPECK_M2:
                continue
            least[0] += tile.area
            levels = []
            for i in np.sort(tree.query(tile, predicate="intersects")) if tree else []:
                carry = solid(pieces[i].intersection(tile))
                for k, level in enumerate(levels):
                    if carry.area <= SPECK_M2:
                        break
                    levels[k], carry = (
                        solid(shapely.union(level, carry, grid_size=GRID_M)),
                        solid(shapely.intersection(level, carry, grid_size=GRID_M)),
                    )
                else:
                    if carry.area > SPECK_M2:
                        levels.append(carry)
            for k, level in enumerate(levels):
                if k + 1 == len(least):
                    least.append(0.0)
                least[k + 1] += level.area
    return [a - b for a, b in zip(least, least[1:] + [0.0])]


def track_length(t):
    if "line" in t:
        (x0, y0), (x1, y1) = t["line"]
        return math.hypot(x1 - x0, y1 - y0)
    return abs(math.radians(t["arc"]["sweep_deg"])) * t["arc"]["radius"]


def ends(t):
    """(x, y, direction of travel) at both ends."""
    if "line" in t:
        (x0, y0), (x1, y1) = t["line"]
        h = math.atan2(y1 - y0, x1 - x0)
        return (x0, y0, h), (x1, y1, h)
    a = t["arc"]
    side = math.copysign(math.pi / 2, a["sweep_deg"])
    out = []
    for deg in (a["from_deg"], a["from_deg"] + a["sweep_deg"]):
        r = math.radians(deg)
        out.append((a["centre"][0] + a["radius"] * math.cos(r), a["centre"][1] + a["radius"] * math.sin(r), r + side))
    return tuple(out)


def chain(tracks):
    """Worst gap between tracks, m, and worst kink while the reels stay down, rad."""
    gap = kink = 0.0
    for a, b in zip(tracks, tracks[1:]):
        (_, e), (s, _) = ends(a), ends(b)
        gap = max(gap, math.hypot(s[0] - e[0], s[1] - e[1]))
        if a["reels"] == b["reels"] == "down" and track_length(a) > 1e-6 and track_length(b) > 1e-6:
            kink = max(kink, abs(math.remainder(s[2] - e[2], 2 * math.pi)))
    return gap, kink


def minutes(mow, mower):
    """Minutes driven with the reels down, with them up, and for lifting and lowering."""
    speed = mower["speeds_m_s"]
    lanes = {i for leg in mow["legs"] if leg["role"] == "lane" for i in range(*leg["tracks"])}
    down = up = 0.0
    for i, t in enumerate(mow["tracks"]):
        if t["reels"] == "down":
            down += track_length(t) / speed["loops" if i in lanes else "mowing"]
        else:
            # Turns and backing are driven slowly, straight stretches at the speed between passes.
            slow = "arc" in t or t.get("gear") == "reverse"
            up += track_length(t) / speed["turning" if slow else "transport"]
    return down / 60, up / 60, 2 * passes_of(mow["tracks"]) * mower["lift_lower_s"] / 60


def passes_of(tracks):
    """How often the reels are lowered."""
    return sum(t["reels"] == "down" and (i == 0 or tracks[i - 1]["reels"] != "down") for i, t in enumerate(tracks))


def steps_of(mow):
    """How many steps the drive falls into; each leg must stand in exactly one, in order."""
    at = 0
    for step in mow["steps"]:
        if step["first_leg"] != at:
            return math.nan
        at += step["legs"]
    return len(mow["steps"]) if at == len(mow["legs"]) else math.nan


def sweep(mow, mower, fine=raster.FINE, depth=True):
    """All figures of one mow, from its tracks. `fine` is how many points stand along a cell of the raster.

    Without `depth` the areas by times cut are left out: they take nearly all of the time, and mean
    cuts and overlap follow from the pieces' own areas.
    """
    width, units, tracks = mower["cutting_width_m"], mower["units"], mow["tracks"]
    ground = area_of(mow["outline"])
    filled = shapely.union_all([shapely.make_valid(Polygon(p[0])) for p in mow["outline"]])
    keep = area_of(mow.get("keep_outs", []))
    barred = keep.union(filled.difference(ground))
    reach = ground.buffer(-width / 2, quad_segs=90).buffer(width / 2, quad_segs=90).intersection(ground)
    pieces = pieces_of(tracks, units)
    cut = shapely.union_all(pieces) if len(pieces) else Polygon()
    uncut = ground.difference(cut).area
    on_ground = float(shapely.area(shapely.intersection(pieces, ground)).sum()) if len(pieces) else 0.0
    by_times = times_cut(pieces, ground) if depth else None
    down = [track_length(t) for t in tracks if t["reels"] == "down"]
    up = [track_length(t) for t in tracks if t["reels"] == "up"]
    gap, kink = chain(tracks)
    dots = raster.Raster(ground, fine=fine).tracks(tracks, units)
    by_dots = dots.areas()
    r1, r2, held = dots.lay()
    out = {
        "fairway": mow["fairway"],
        "pattern": mow["pattern"],
        "fairway_m2": ground.area,
        "uncut_m2": uncut,
        "reach_m2": reach.area,
        "missed_m2": reach.difference(cut).area,
        "trim_m2": ground.area - reach.area,
        # Ground counted as often as it is cut, less ground cut at all.
        "overlap_m2": on_ground - (ground.area - uncut),
        "mean_cuts": on_ground / ground.area if ground.area else 0.0,
        "overrun_m2": cut.difference(filled.union(keep)).area,
        "keepout_cut_m2": cut.intersection(barred).area,
        "mean_cuts_by_raster": float((np.arange(len(by_dots)) * by_dots).sum() / by_dots.sum()),
        "lay_r1": raster.mean_and_p95(r1, held)[0],
        "lay_r2": raster.mean_and_p95(r2, held)[0],
        "passes": passes_of(tracks),
        "mowing_m": sum(down),
        "transport_m": sum(up),
        "distance_floor_m": ground.area / width,
        "distance_ratio": sum(down) * width / ground.area,
        "worst_gap_m": gap,
        "worst_kink_rad": kink,
    }
    if by_times is not None:
        out["times_cut_m2"] = by_times
    if "steps" in mow:
        out["steps"] = steps_of(mow)
    # Drives laid without the planner have no legs and no speeds.
    if "speeds_m_s" in mower:
        mowing, idle, lifts = minutes(mow, mower)
        out["minutes"] = mowing + idle + lifts
        # Ground in the whole time, over the ground that the same speed and width could cover in it.
        theory = width * sum(down) / mowing if mowing else math.inf
        out["field_efficiency"] = ground.area / out["minutes"] / theory if out["minutes"] else 0.0
    return out


AREAS = ["fairway_m2", "uncut_m2", "missed_m2", "trim_m2", "overlap_m2", "overrun_m2", "keepout_cut_m2"]


# Figures compared as a share of the larger, and of no less than 1.
LENGTHS = ["mowing_m", "transport_m", "distance_floor_m", "distance_ratio", "mean_cuts", "minutes", "field_efficiency"]
COUNTS = ["passes", "steps"]
# What the raster sees differs by the width of its points.
LAY = ["lay_r1", "lay_r2"]
RASTER_AGREES = 2.5e-3


def differences(swept, told):
    """Each figure's difference: areas as a share of the ground, lengths and times of themselves.

    What was swept must be told, and be a finite number: anything else is an infinite difference.
    What the raster finds is scaled so that its own bound counts as the sweep's default bound.
    """
    a = max(swept["fairway_m2"], 1e-9)
    out = {}

    def put(key, mine, theirs, scale):
        ok = is_number(mine) and is_number(theirs) and math.isfinite(mine) and math.isfinite(theirs)
        out[key] = abs(mine - theirs) / scale if ok else math.inf

    for k in AREAS:
        put(k, swept[k], told.get(k), a)
    ours, theirs = swept.get("times_cut_m2") or [], told.get("times_cut_m2") or []
    if ours and not theirs:
        out["times_cut_m2"] = math.inf
    for k in range(max(len(ours), len(theirs)) if ours else 0):
        put(f"times_cut_m2[{k}]", ours[k] if k < len(ours) else 0.0, theirs[k] if k < len(theirs) else 0.0, a)
    for k in LENGTHS:
        if k in swept:
            put(k, swept[k], told.get(k), max(abs(swept[k]), 1.0))
    for k in COUNTS:
        if k in swept:
            put(k, swept[k], told.get(k), 1.0)
    for k in LAY:
        put(k, swept[k], told.get(k), RASTER_AGREES / AGREE)
    if "mean_cuts_by_raster" in swept:
        put("mean_cuts_by_raster", swept["mean_cuts_by_raster"], told.get("mean_cuts"), RASTER_AGREES / AGREE)
    return out


def main():
    ap = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ap.add_argument("plan", nargs="+")
    ap.add_argument("--agree", type=float, default=AGREE, help="largest difference allowed, as a share")
    ap.add_argument("--missed", type=float, help="fail when more than this share of the reach is missed")
    ap.add_argument("--overrun", type=float, help="fail when the overrun is more than this share of the ground")
    ap.add_argument("--keepout", type=float, help="fail when a keep-out is cut by more than this, m2")
    args = ap.parse_args()
    bad, count, worst_all = 0, 0, 0.0
    for name in args.plan:
        with open(name) as f:
            plan = json.load(f)
        for mow in plan["mows"]:
            s = sweep(mow, plan["mower"])
            d = differences(s, mow["measures"])
            worst = largest(d.values())
            what = max(d, key=d.get)
            faults = []
            if not worst <= args.agree:
                faults.append(f"{what} differs")
            if not (s["worst_gap_m"] <= 1e-6 and s["worst_kink_rad"] <= 1e-6):
                faults.append("the chain is broken")
            if args.missed is not None and not s["missed_m2"] <= args.missed * s["reach_m2"]:
                faults.append("missed ground")
            if args.overrun is not None and not s["overrun_m2"] <= args.overrun * s["fairway_m2"]:
                faults.append("overrun")
            if args.keepout is not None and not s["keepout_cut_m2"] <= args.keepout:
                faults.append("a keep-out is cut")
            print(
                f"{s['fairway']:>12.12} {s['pattern']:<13} ground {s['fairway_m2']:9.1f} m2  mean cuts {s['mean_cuts']:.3f}"
                f"  missed {100 * s['missed_m2'] / max(s['reach_m2'], 1e-9):.4f}%  overrun {100 * s['overrun_m2'] / s['fairway_m2']:.3f}%"
                f"  keep-out {s['keepout_cut_m2']:.4f} m2  minutes {s.get('minutes', math.nan):.2f}"
                f"  R1 {s['lay_r1']:.3f} R2 {s['lay_r2']:.3f}  passes {s['passes']}  gap {s['worst_gap_m']:.0e}  kink {s['worst_kink_rad']:.0e}"
                f"  worst difference {worst:.1e} ({what})" + ("  FAULT: " + ", ".join(faults) if faults else "")
            )
            bad += bool(faults)
            count += 1
            worst_all = max(worst_all, worst)
    print(f"{count} mows swept again, {bad} with faults, worst difference {worst_all:.1e}")
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
