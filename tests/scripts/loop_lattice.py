"""Checks the loop lattices of a bar deck by brute force. Needs numpy 2.3.

usage: python3 loop_lattice.py answers.json > ../stored/loop_lattice.json
       python3 loop_lattice.py - --check [--every N] < answers.json

With --check nothing is written: every N-th row is worked out again and compared with the stored
one. `answers.json` comes from `cargo run -p crossgrain-tests --example lattice_answers`. For each
row the script
  1. searches advances in steps of 1 cm, heights in steps of 1 cm and the advance tolerance in
     41 steps, merging the swept intervals of every height by sorting (no closed form), and
     stores the cheapest lattice it finds;
  2. lays the answer's loops on a fine grid of points: three lanes, alternate directions,
     random phases and advances within the tolerance, the bar shortened by the steering
     tolerance, and counts the points between the outer lanes' axes that nothing cuts.
Loops turn counter-clockwise and lanes run along +x; the wide half-circle lies at y < 0.
"""
import json, math, pathlib, sys
import numpy as np

from same import differences

ADVANCE_TOL, STEERING_TOL, TURNING_RADIUS = 0.20, 0.05, 2.0


def covered(form, d, w, p, y):
    """Which heights y are swept completely at advance p (w already shortened)."""
    if form == "drift":
        r = np.where(y < 0, d / 2 + p / 4, d / 2 - p / 4)
    else:
        r = np.full_like(y, d / 2)
    inner, outer = r - w / 2, r + w / 2
    a = np.sqrt(np.maximum(outer**2 - y**2, 0))
    b = np.sqrt(np.maximum(inner**2 - y**2, 0))
    n = int(math.ceil((d + w) / p)) + 2
    shift = p * np.arange(-n, n + 1)
    left = np.concatenate([(-a)[:, None] + shift, b[:, None] + shift], axis=1)
    right = np.concatenate([(-b)[:, None] + shift, a[:, None] + shift], axis=1)
    order = np.argsort(left, axis=1)
    left = np.take_along_axis(left, order, axis=1)
    right = np.maximum.accumulate(np.take_along_axis(right, order, axis=1), axis=1)
    # A gap between what came before and the next interval, within one period.
    gap = (left[:, 1:] > right[:, :-1] + 1e-9) & (left[:, 1:] > 0) & (right[:, :-1] < p)
    ok = ~gap.any(axis=1) & (np.abs(y) < outer)
    if form == "roll":
        ok |= (y >= -d / 2 - w / 2) & (y <= -d / 2 + w / 2)
    return ok


def tallest(ok, step):
    best = run = 0
    for v in ok:
        run = run + 1 if v else 0
        best = max(best, run)
    return max(0, best - 1) * step


def search(w, d):
    step = 0.01
    best = None
    y = np.arange(-(d / 2 + w + 1.5), d / 2 + w + 1.5, step) + step / 2
    tries = []
    for form in ("drift", "roll"):
        for i in range(int(ADVANCE_TOL / 0.01) + 1, int(2 * w / 0.01) + 1):
            p = 0.01 * i
            if form == "drift" and d / 2 - p / 4 < max(TURNING_RADIUS, w / 2):
                break
            length = math.pi * d + (p if form == "roll" else 0)
            tries.append((w * length / (p * (d + w)), form, p, length))
    for bound, form, p, length in sorted(tries):
        if best and bound >= best["mean_cuts"]:
            break
        ok = np.ones_like(y, bool)
        need = w * length / (p * best["mean_cuts"]) if best else 0
        # Ends first: most advances fail there.
        for q in sorted(np.linspace(p - ADVANCE_TOL, p + ADVANCE_TOL, 41), key=lambda q: -abs(q - p)):
            ok &= covered(form, d, w - 2 * STEERING_TOL, q, y)
            s = tallest(ok, step)
            if s <= need:
                break
        if s > need and s > 0:
            cost = w * length / (p * s)
            if best is None or cost < best["mean_cuts"]:
                best = dict(form=form, advance_m=p, lane_spacing_m=s, mean_cuts=cost)
    return best


def uncut_points(row, rng):
    """Points left between three lanes of the answer."""
    w, d, p, s = row["width_m"] - 2 * STEERING_TOL, row["diameter_m"], row["advance_m"], row["lane_spacing_m"]
    x, y = np.meshgrid(np.arange(0, 2 * p, 0.02), np.arange(0, 3 * s, 0.02) + 1e-4)
    cut = np.zeros(x.shape, bool)
    for lane in range(3):
        q = p + rng.uniform(-ADVANCE_TOL, ADVANCE_TOL)
        phase = rng.uniform(0, q)
        # Lane 1 is driven the other way, so its band lies the other way round.
        flip = -1 if lane == 1 else 1
        axis = lane * s + (row["left_m"] if flip < 0 else row["right_m"])
        u, v = flip * x, flip * (y - axis)
        if row["form"] == "drift":
            halves = [(0.0, d / 2 + q / 4, -1), (q / 2, d / 2 - q / 4, 1)]
        else:
            halves = [(0.0, d / 2, -1), (0.0, d / 2, 1)]
            cut |= (v >= -d / 2 - w / 2) & (v <= -d / 2 + w / 2)
        for centre, r, side in halves:
            n = int((r + w + 2 * p) / q) + 3
            here = v >= 0 if side > 0 else v <= 0
            for i in range(-n, n + 1):
                rr = np.hypot(u - centre - phase - i * q, v)
                cut |= here & (rr >= r - w / 2) & (rr <= r + w / 2)
    return int((~cut).sum()), cut.size


STORED = pathlib.Path(__file__).resolve().parents[1] / "stored/loop_lattice.json"


def work_out(row, rng):
    row["brute_force"] = search(row["width_m"], row["diameter_m"])
    left, points = 0, 0
    for _ in range(6):
        a, b = uncut_points(row, rng)
        left, points = left + a, points + b
    row["uncut_points"], row["points"] = left, points
    print(f"{row['width_m']:.3f} m at {row['diameter_m']:.3f} m: solver {row['mean_cuts']:.4f}, "
          f"brute force {row['brute_force']['mean_cuts']:.4f}, uncut {left} of {points}", file=sys.stderr)


if __name__ == "__main__":
    rng = np.random.default_rng(20270503)
    rows = json.load(sys.stdin if sys.argv[1] == "-" else open(sys.argv[1]))
    if "--check" in sys.argv:
        every = int(sys.argv[sys.argv.index("--every") + 1]) if "--every" in sys.argv else 1
        stored = json.loads(STORED.read_text())
        bad = len(rows) != len(stored) or not rows
        for row, old in list(zip(rows, stored))[::every]:
            work_out(row, rng)
            if differences(row, old):
                print(f"stored {old}\nnow {row}")
                bad += 1
        sys.exit(bad > 0)
    for row in rows:
        work_out(row, rng)
    json.dump(rows, sys.stdout, indent=1)
    print()
