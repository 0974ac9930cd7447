"""Smallest clean loop diameter of 1,000 random decks by brute force, with numpy only.

No formula for the strips is used: every cutting line is walked in a hundred points, then closer, the
circle is driven, and the radii that each point runs on are put side by side. The diameter is
searched from the widest circle inward and then halved down to a hundredth of a millimetre.

usage: clean_diameters.py [--check] [--count N]
Writes tests/stored/clean_diameters.json; with --check compares with what is stored.
Pinned in requirements.txt.
"""
import argparse, json, pathlib
import numpy as np

from same import differences

STORED = pathlib.Path(__file__).parent.parent / "stored" / "clean_diameters.json"
POINTS = 121
MAX_WIDTH_M, MIN_WIDTH_M, STEPS = 400.0, 0.02, 4000
OPEN_M = 1e-8


def layout(rng):
    """A row of units with overlaps of 30 to 150 mm, each somewhere ahead of or behind the axle."""
    n = int(rng.integers(2, 8))
    width = np.round(rng.uniform(0.3, 1.2, n), 4)
    overlap = np.round(rng.uniform(0.03, 0.15, n), 4)
    ahead = np.round(rng.uniform(-1.5, 2.5, n), 4)
    left = np.concatenate([[0.0], np.cumsum(width - overlap)[:-1]])
    middle = left + width / 2
    middle = np.round(middle - (left[-1] + width[-1]) / 2, 4)
    order = rng.permutation(n)
    return [[float(middle[i]), float(ahead[i]), float(width[i])] for i in order]


def rings(units, radii, side):
    """Lowest and highest radius of every unit at every driven radius, from points on its line."""
    low, high = [], []
    t = np.linspace(-0.5, 0.5, POINTS)
    for across, ahead, width in units:
        # Turning centre on the axle's line, `radii` to the left (side +1) or right (-1).
        y = side * radii[:, None] - (across + t * width)[None, :]
        d = np.hypot(y, ahead)
        k = d.argmin(axis=1)
        # The nearest point may lie between two samples: walk there again, closer.
        fine = np.clip(t[k][:, None] + np.linspace(-1, 1, 61)[None, :] / (POINTS - 1), -0.5, 0.5)
        near = np.hypot(side * radii[:, None] - (across + fine * width), ahead).min(axis=1)
        low.append(np.minimum(near, d.min(axis=1)))
        high.append(d.max(axis=1))
    return np.array(low), np.array(high)


def open_ring(units, radii, side):
    """True where some radius between the innermost and the outermost cut is cut by no unit."""
    low, high = rings(units, radii, side)
    order = low.argsort(axis=0)
    low, high = np.take_along_axis(low, order, 0), np.take_along_axis(high, order, 0)
    top = np.maximum.accumulate(high, axis=0)
    return (low[1:] > top[:-1] + OPEN_M).any(axis=0)


def clean_diameter(units, side):
    radii = np.geomspace(MAX_WIDTH_M, MIN_WIDTH_M, STEPS)
    dirty = np.zeros(STEPS, bool)
    for part in range(0, STEPS, 1000):
        dirty[part:part + 1000] = open_ring(units, radii[part:part + 1000], side)
    if not dirty.any():
        return 0.0
    first = int(dirty.argmax())
    if first == 0:
        return None
    good, bad = radii[first - 1], radii[first]
    while good - bad > 5e-6:
        mid = 0.5 * (good + bad)
        good, bad = (good, mid) if open_ring(units, np.array([mid]), side)[0] else (mid, bad)
    return round(2 * float(good), 5)


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("--check", action="store_true")
    ap.add_argument("--count", type=int, default=1000)
    ap.add_argument("--stored", type=pathlib.Path, default=STORED, help="what to compare with")
    o = ap.parse_args()
    rng = np.random.default_rng(20270503)
    rows = []
    for _ in range(o.count):
        units = layout(rng)
        rows.append({"units": units, "cw": clean_diameter(units, -1), "ccw": clean_diameter(units, 1)})
    if o.check:
        stored = json.loads(o.stored.read_text())["layouts"]
        # Diameters are rounded to a hundredth of a millimetre: a rounding apart on another processor.
        bad = differences(rows, stored[: o.count], within=1.5e-5)
        print("\n".join(bad[:20]))
        print(f"{len(rows)} layouts, {len(bad)} differences from what is stored")
        raise SystemExit(1 if bad else 0)
    lines = ",\n".join(json.dumps(r, separators=(",", ":")) for r in rows)
    STORED.write_text('{"about":"units as [across_m, ahead_m, width_m]; clean diameters in metres",'
                      f'"by":"clean_diameters.py with NumPy {np.__version__}",'
                      f'"layouts":[\n{lines}\n]}}\n')
    print(f"{len(rows)} layouts written")


if __name__ == "__main__":
    main()
