"""How much faster the measure is than GEOS on the same shapes, in one run on one machine.

usage: geos_ratio.py [stripes|rings|loops] [--threads N] [--geo]

Builds and runs the `side_by_side` program of the benches, reads the quadrilaterals it wrote,
and times shapely's union_all of them followed by area and difference with the fairway. Prints
the areas both ways and the ratios, by time that passed and by processor time (on a busy machine
only the second compares). Needs shapely and numpy; asserts nothing.
"""
import json, os, pathlib, subprocess, sys, tempfile, time
import numpy as np, shapely
from shapely.geometry import Polygon

ROOT = pathlib.Path(__file__).resolve().parents[2]


def main():
    name = next((a for a in sys.argv[1:] if a in ("stripes", "rings", "loops")), "loops")
    threads = int(sys.argv[sys.argv.index("--threads") + 1]) if "--threads" in sys.argv else 1
    features = ["--features", "rayon"] if threads > 1 else []
    with tempfile.TemporaryDirectory() as folder:
        file = os.path.join(folder, "quads.bin")
        run = ["cargo", "run", "-q", "--release", "-p", "crossgrain-benches", *features, "--bin", "side_by_side", "--", file, name]
        if "--geo" not in sys.argv:
            run.append("--no-geo")
        env = dict(os.environ, RAYON_NUM_THREADS=str(threads))
        ours = json.loads(subprocess.run(run, cwd=ROOT, env=env, check=True, capture_output=True).stdout)
        quads = np.fromfile(file).reshape(-1, 4, 2)
    shapes = shapely.polygons(np.concatenate([quads, quads[:, :1]], axis=1))
    ground = Polygon(ours["ground"])
    best = (1e9, 1e9)
    for _ in range(3):
        t, c = time.perf_counter(), time.process_time()
        union = shapely.union_all(shapes)
        uncut, overrun = ground.difference(union).area, union.difference(ground).area
        best = (min(best[0], time.perf_counter() - t), min(best[1], time.process_time() - c))
    print(f"{name}: {ours['quads']} quadrilaterals, {ours['driven_m']:.0f} m driven, {threads} thread(s)")
    print(f"  GEOS {shapely.geos_version_string}: {best[0] * 1e3:.1f} ms passed, {best[1] * 1e3:.1f} ms of processor; uncut {uncut:.3f} m2, overrun {overrun:.3f} m2")
    print(f"  ours: {ours['ours_wall_s'] * 1e3:.2f} ms passed, {ours['ours_cpu_s'] * 1e3:.2f} ms of processor; uncut {ours['uncut_m2']:.3f} m2, overrun {ours['overrun_m2']:.3f} m2")
    print(f"  GEOS takes {best[0] / ours['ours_wall_s']:.0f} times as long ({best[1] / ours['ours_cpu_s']:.0f} by processor time)")
    if "geo_wall_s" in ours:
        print(f"  geo: {ours['geo_wall_s'] * 1e3:.1f} ms passed, {ours['geo_cpu_s'] * 1e3:.1f} ms of processor: {ours['geo_wall_s'] / ours['ours_wall_s']:.0f} times as long ({ours['geo_cpu_s'] / ours['ours_cpu_s']:.0f}); uncut {ours['geo_uncut_m2']:.3f} m2")
    print("  areas cut k times:", ", ".join(f"{k}: {a:.3f}" for k, a in enumerate(ours["times_cut_m2"])))


if __name__ == "__main__":
    main()
