"""What a loop lattice leaves with the real cutting units, swept again with shapely.

Each unit of each loop becomes one polygon per quarter turn, from the mower's axes and the
turning centre alone; the union is taken away from a piece of ground two lane spacings high
and two advances long in the middle of the lattice, for several phases between lanes.

usage: cargo run -q -p crossgrain-tests --example lattice_gap_cases | lattice_strips.py [--check]
Writes tests/stored/lattice_strips.json; with --check sweeps the lattices that the solver gives
now, and fails unless those planned for the units leave nothing and all is as stored.
Pinned in requirements.txt.
"""
import argparse, json, math, pathlib, sys
import numpy as np
import shapely

from same import differences

STORED = pathlib.Path(__file__).parent.parent / "stored" / "lattice_strips.json"
PHASES = [0.0, 0.25, 0.5, 0.75]
STEP_DEG = 0.5
# Of the larger figure, or of 1 m or 1 m2: an advance is found to the micrometre.
AGREE = 1e-6
# Chords of half a degree cut up to R (1 - cos 0.25 deg) off an arc; grow the outer edge by that
# much and a polygon never lies inside the true piece on that side.
CHORD = 1.0 / math.cos(math.radians(STEP_DEG) / 2)


def arc_pieces(units, centre, radius, start, sweep, side):
    """One polygon per unit and quarter turn. `start` and `sweep` are the axle's polar angles."""
    out = []
    quarters = max(1, math.ceil(abs(sweep) / (math.pi / 2) - 1e-9))
    for q in range(quarters):
        t0, t1 = start + sweep * q / quarters, start + sweep * (q + 1) / quarters
        n = max(2, math.ceil(abs(t1 - t0) / math.radians(STEP_DEG)) + 1)
        t = np.linspace(t0, t1, n)
        for u in units:
            edges = []
            for across in (u["across_m"] + u["width_m"] / 2, u["across_m"] - u["width_m"] / 2):
                # From the centre: `radius - side * across` along the spoke, `ahead` along the
                # direction of travel.
                spoke = radius - side * across
                r, lead = math.hypot(spoke, u["ahead_m"]), side * math.atan2(u["ahead_m"], spoke)
                edges.append((r, lead))
            outer = max(range(2), key=lambda i: edges[i][0])
            ring = []
            for i in (outer, 1 - outer):
                r, lead = edges[i]
                if i == outer:
                    r *= CHORD
                a = t + lead if i == outer else t[::-1] + lead
                ring.append(np.c_[centre[0] + r * np.cos(a), centre[1] + r * np.sin(a)])
            out.append(shapely.Polygon(np.concatenate(ring)))
    return out


def line_pieces(units, x0, x1, y):
    return [shapely.box(x0 + u["ahead_m"], y + u["across_m"] - u["width_m"] / 2,
                        x1 + u["ahead_m"], y + u["across_m"] + u["width_m"] / 2) for u in units]


def lane(units, case, x, y):
    """The pieces of one loop that starts at x on the axis y, heading along x."""
    side = 1.0 if case["sense"] == "ccw" else -1.0
    d, p = case["diameter_m"], case["advance_m"]
    if case["form"] == "drift":
        wide, tight = d / 2 + p / 4, d / 2 - p / 4
        # Forward half below the axis (for a left turn), back half above it.
        c1, c2 = (x + wide, y), (x + 2 * wide - tight, y)
        return (arc_pieces(units, c1, wide, math.pi, side * math.pi, side)
                + arc_pieces(units, c2, tight, 0.0, side * math.pi, side))
    r = d / 2
    low = y - side * r
    return (arc_pieces(units, (x, y), r, -side * math.pi / 2, side * 2 * math.pi, side)
            + line_pieces(units, x, x + p, low))


def sweep(case):
    units, p, s = case["units"], case["advance_m"], case["lane_spacing_m"]
    ground = shapely.box(0, 0, 2 * p, 2 * s)
    swing = max(math.hypot(abs(u["across_m"]) + u["width_m"] / 2, u["ahead_m"]) for u in units)
    reach = case["diameter_m"] + p + swing
    loops, rows = math.ceil(reach / p) + 2, math.ceil(reach / s) + 1
    out = []
    for phase in PHASES:
        pieces = []
        for row in range(-rows, rows + 3):
            shift = phase * p if row % 2 else 0.0
            for k in range(-loops, loops + 3):
                pieces += lane(units, case, k * p + shift, row * s)
        pieces = np.array(pieces, dtype=object)
        bad = ~shapely.is_valid(pieces)
        if bad.any():
            pieces[bad] = shapely.make_valid(pieces[bad])
        pieces = pieces[shapely.intersects(pieces, ground)]
        left = ground.difference(shapely.union_all(pieces))
        parts = [g for g in shapely.get_parts(left) if g.area > 1e-7]
        out.append({"phase": phase, "ground_m2": ground.area, "uncut_m2": left.area, "strips": len(parts)})
    return out


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("--check", action="store_true")
    ap.add_argument("--stored", type=pathlib.Path, default=STORED, help="what to compare with")
    ap.add_argument("--first", type=int, help="only so many cases")
    o = ap.parse_args()
    cases = json.load(sys.stdin)["cases"][: o.first]
    bad = 0
    for c in cases:
        c["swept"] = sweep(c)
        worst = max(x["uncut_m2"] / x["ground_m2"] for x in c["swept"])
        strips = max(x["strips"] for x in c["swept"])
        print(f"{c['mower']:<12} {c['diameter_m']:6.3f} m {c['sense']:<3} planned for {c['planned_for']:<5} "
              f"{c['form']:<5} advance {c['advance_m']:.3f} lanes {c['lane_spacing_m']:.3f}: "
              f"uncut {100 * worst:.5f}% strips {strips}", file=sys.stderr)
        bad += c["planned_for"] == "units" and (worst > 1e-9 or strips > 0)
    if o.check:
        stored = json.loads(o.stored.read_text())["cases"][: o.first]
        # The solver's figures drift by its own search, GEOS's areas by its grid.
        faults = differences(cases, stored, within=AGREE)
        print("\n".join(faults[:20]))
        bad += len(faults) + (not cases)
    else:
        rows = ",\n".join(json.dumps(c, separators=(",", ":")) for c in cases)
        STORED.write_text(f'{{"cases":[\n{rows}\n]}}\n')
    raise SystemExit(1 if bad else 0)


if __name__ == "__main__":
    main()
