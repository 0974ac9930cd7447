"""Sweeps 200 random mows with GEOS and stores the areas for tests/tests/random_mows.rs.

usage: random_mows.py [--check] [--count N]     (shapely and numpy as in requirements.txt)

The scenes come from `cargo run -p crossgrain-tests --example random_mow_scenes`. Each swept piece is one
polygon: arcs are flattened at 0.2 degrees, a part of a cutting line beyond the turning centre
is a piece of its own. Areas by times cut come from a second way, on every fourth scene: all
boundaries are noded, the plane is cut into faces, and a point inside each face is counted.
With --check nothing is written; the figures are compared with the stored ones.
"""
import itertools, json, math, pathlib, subprocess, sys
import numpy as np, shapely
from shapely.geometry import Polygon

from same import largest

ROOT = pathlib.Path(__file__).resolve().parents[2]
STORED = ROOT / "tests/stored/random_mows.json"
STEP = math.radians(0.2)


def area(shape):
    return shapely.union_all([shapely.make_valid(Polygon(p[0], p[1:])) for p in shape]) if shape else Polygon()


def pieces(track, unit):
    across, ahead, width = unit
    lo, hi = across - width / 2, across + width / 2
    if "line" in track:
        (x0, y0), (x1, y1) = track["line"]
        h = math.atan2(y1 - y0, x1 - x0)
        c, s = math.cos(h), math.sin(h)
        at = lambda x, y, a: (x + ahead * c - a * s, y + ahead * s + a * c)
        return [Polygon([at(x0, y0, lo), at(x1, y1, lo), at(x1, y1, hi), at(x0, y0, hi)])]
    arc = track["arc"]
    (cx, cy), r, sweep = arc["centre"], arc["radius"], arc["sweep_rad"]
    side = math.copysign(1.0, sweep)
    centre = side * r
    parts = [(lo, centre), (centre, hi)] if lo < centre < hi else [(lo, hi)]
    out = []
    # Pieces of at most an eighth of a turn, so that none meets itself.
    n = max(1, math.ceil(abs(sweep) / (math.pi / 4)))
    for i in range(n):
        t0, t1 = sweep * i / n, sweep * (i + 1) / n
        m = max(1, math.ceil(abs(t1 - t0) / STEP))
        t = arc["from_rad"] + np.linspace(t0, t1, m + 1)
        h = t + side * math.pi / 2
        for a, b in parts:
            ring = []
            for edge, order in ((a, 1), (b, -1)):
                x = cx + r * np.cos(t) + ahead * np.cos(h) - edge * np.sin(h)
                y = cy + r * np.sin(t) + ahead * np.sin(h) + edge * np.cos(h)
                ring.append(np.c_[x, y][::order])
            p = Polygon(np.vstack(ring))
            out.append(p if p.is_valid else p.buffer(0))
    return out


def by_count(polys, ground):
    """Areas of the ground by number of pieces over it, from the faces of the noded plane."""
    lines = shapely.union_all([shapely.boundary(p) for p in polys] + [shapely.boundary(ground)], grid_size=1e-7)
    tree = shapely.STRtree(polys)
    table = {}
    for face in shapely.get_parts(shapely.polygonize(shapely.get_parts(lines))):
        point = face.representative_point()
        if ground.contains(point):
            k = len(tree.query(point, predicate="within"))
            table[k] = table.get(k, 0.0) + face.area
    return [table.get(k, 0.0) for k in range(max(table, default=0) + 1)]


def measure(scene):
    ground, reach, keep = area(scene["ground"]), area(scene["reach"]), area(scene["keep_outs"])
    filled = shapely.union_all([Polygon(p[0]) for p in scene["ground"]])
    polys = [p for t in scene["tracks"] for u in scene["units"] for p in pieces(t, u) if p.area > 0]
    union = shapely.union_all(polys, grid_size=1e-8)
    width = max(u[0] + u[2] / 2 for u in scene["units"]) - min(u[0] - u[2] / 2 for u in scene["units"])
    own = ground.buffer(-width / 2, quad_segs=64).buffer(width / 2 * (1 - 1e-9), quad_segs=64).intersection(ground)
    row = {
        "seed": scene["seed"], "kind": scene["kind"], "ground_m2": ground.area,
        "uncut_m2": ground.difference(union).area, "missed_m2": reach.difference(union).area,
        "missed_own_reach_m2": own.difference(union).area, "trim_m2": ground.area - reach.area,
        "overrun_m2": union.difference(filled.union(keep)).area,
        "keepout_cut_m2": union.intersection(shapely.union_all([filled.difference(ground), keep])).area,
        "cut_m2": union.area,
        "swept_on_ground_m2": float(shapely.area(shapely.intersection(np.array(polys), ground)).sum()),
    }
    if scene["seed"] % 4 == 0:
        row["times_cut_m2"] = by_count(polys, ground)
    return {k: ([round(x, 6) for x in v] if isinstance(v, list) else round(v, 6) if isinstance(v, float) else v) for k, v in row.items()}


def drift(rows, stored):
    """Largest difference of any area, by times cut too, as a share of the ground; infinite when the
    rows are not of the same scenes or a figure is no finite number."""
    if len(rows) != len(stored):
        return math.inf
    shares = []
    for a, b in zip(rows, stored):
        if a.keys() != b.keys() or any(a[k] != b[k] for k in ("seed", "kind")):
            return math.inf
        for k in a.keys() - {"seed", "kind"}:
            ours, theirs = (v if isinstance(v, list) else [v] for v in (a[k], b[k]))
            # Ground cut more often than the other side knows counts whole.
            shares += [abs(x - y) / b["ground_m2"] for x, y in itertools.zip_longest(ours, theirs, fillvalue=0.0)]
    return largest(shares)


def main():
    count = int(sys.argv[sys.argv.index("--count") + 1]) if "--count" in sys.argv else 200
    run = ["cargo", "run", "--locked", "-q", "-p", "crossgrain-tests", "--example", "random_mow_scenes", "--", str(count)]
    scenes = json.loads(subprocess.run(run, cwd=ROOT, check=True, capture_output=True).stdout)
    rows = []
    for scene in scenes:
        rows.append(measure(scene))
        print(f"\r{len(rows)} of {len(scenes)}", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    if "--check" in sys.argv:
        worst = drift(rows, json.loads(STORED.read_text())["rows"][:count])
        print(f"{len(rows)} mows, largest drift {worst:.1e} of the ground")
        # Written so that no number is a fault too.
        sys.exit(not worst <= 1e-6)
    head = {"by": f"shapely {shapely.__version__}, GEOS {shapely.geos_version_string}", "script": "tests/scripts/random_mows.py"}
    lines = ",\n".join(json.dumps(r) for r in rows)
    STORED.write_text(json.dumps(head)[:-1] + ', "rows": [\n' + lines + "\n]}\n")
    print(f"{len(rows)} mows stored")


if __name__ == "__main__":
    main()
