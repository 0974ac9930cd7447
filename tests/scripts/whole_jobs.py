#!/usr/bin/env python3
"""Whole jobs, worked out again by programs of others from the plan file alone.

    python whole_jobs.py COMMAND             plans every job and compares; exit 1 on a difference
    python whole_jobs.py COMMAND --write     the same, and writes tests/outside/JOBS.md
    python whole_jobs.py COMMAND --only 3    one job, by its number

Each job is planned by the built command on the sample course or on ground drawn here. From the
tracks in plan.json the areas are swept with GEOS, mean cuts and the lay laid out on a raster, and
minutes, passes and steps taken from the tracks: nothing is read of what the plan says of itself, but
to compare. The plans may change with the planner; what is compared is the figures beside them.
"""

import argparse
import concurrent.futures
import json
import math
import pathlib
import subprocess
import sys
import tempfile

import numpy
import shapely

import sweep_again
from same import largest

ROOT = pathlib.Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "samples" / "quillback.geojson"
FIVE, GANG = (ROOT / "samples" / f"{n}.json" for n in ("light-five", "large-gang"))
TABLE = ROOT / "tests" / "outside" / "JOBS.md"
# Areas as a share of the ground; minutes and mean cuts of themselves.
SHARE = 1e-4


def ring(points):
    """Corners in metres about an invented place, closed, as longitudes and latitudes."""
    lon0, lat0 = -96.0, 41.0
    # Roughly; what counts is the plane that the plan file is in.
    out = [[lon0 + x / (111320 * math.cos(math.radians(lat0))), lat0 + y / 111132] for x, y in points]
    return out + [out[0]]


def drawn(outline, *holes, bunkers=(), line=None):
    features = [{"type": "Feature", "properties": {"role": "fairway", "name": "1"},
                 "geometry": {"type": "Polygon", "coordinates": [ring(outline), *[ring(h) for h in holes]]}}]
    for b in bunkers:
        features.append({"type": "Feature", "properties": {"role": "bunker"}, "geometry": {"type": "Polygon", "coordinates": [ring(b)]}})
    if line:
        features.append({"type": "Feature", "properties": {"role": "hole", "name": "1"},
                         "geometry": {"type": "LineString", "coordinates": ring(line)[:-1]}})
    return {"type": "FeatureCollection", "features": features}


def oval(cx, cy, rx, ry, n=48, bend=0.0):
    t = [2 * math.pi * i / n for i in range(n)]
    return [(cx + rx * math.cos(a), cy + ry * math.sin(a) + bend * math.cos(a) ** 2) for a in t]


SHAPES = {
    "rectangle": drawn([(0, 0), (110, 0), (110, 34), (0, 34)], line=[(-10, 17), (120, 17)]),
    "oval": drawn(oval(0, 0, 60, 19), line=[(-70, 0), (70, 0)]),
    "bend": drawn(oval(0, 0, 65, 17, bend=28), line=[(-72, 28), (0, 0), (72, 28)]),
    "dog's leg": drawn([(0, 0), (80, 0), (120, 55), (92, 74), (66, 34), (0, 34)], line=[(-8, 17), (75, 17), (110, 70)]),
    "triangle": drawn([(0, 0), (90, 8), (22, 70)], line=[(0, 20), (80, 20)]),
    "rectangle with a pond": drawn([(0, 0), (100, 0), (100, 44), (0, 44)], oval(56, 24, 11, 8), line=[(-8, 22), (108, 22)]),
    "oval with two bunkers": drawn(oval(0, 0, 58, 22), bunkers=[oval(-14, 20, 9, 6, 20), oval(25, -5, 5, 4, 20)], line=[(-66, 0), (66, 0)]),
    "hourglass": drawn([(0, 0), (45, 9), (90, 0), (90, 40), (45, 27), (0, 40)], line=[(-8, 20), (98, 20)]),
}

# Where, fairway, options.
JOBS = [
    ("sample", "1", ["--pattern", "stripes", "--heading", "fewest"]),
    ("sample", "2", ["--pattern", "stripes", "--heading", "along"]),
    ("sample", "3", ["--pattern", "stripes", "--heading", "45", "--mower", FIVE]),
    ("sample", "4", ["--pattern", "stripes", "--heading", "10-4", "--deck", "84in"]),
    ("sample", "5", ["--pattern", "half-and-half"]),
    ("sample", "6", ["--pattern", "cross", "--deck", "11ft"]),
    ("sample", "8", ["--pattern", "contour"]),
    ("sample", "9", ["--pattern", "rings", "--deck", "11ft"]),
    ("sample", "3", ["--pattern", "loops", "--mower", FIVE]),
    ("sample", "2", ["--pattern", "loops", "--loop-diameter", "21ft"]),
    ("sample", "8", ["--pattern", "rings", "--mower", GANG]),
    ("sample", "5", ["--pattern", "stripes", "--heading", "fewest", "--mower", GANG]),
    ("rectangle", "1", ["--pattern", "stripes", "--heading", "along"]),
    ("rectangle", "1", ["--pattern", "stripes", "--heading", "33", "--mower", FIVE]),
    ("rectangle", "1", ["--pattern", "loops", "--loop-diameter", "22ft", "--sense", "ccw"]),
    ("oval", "1", ["--pattern", "stripes", "--heading", "12-6"]),
    ("oval", "1", ["--pattern", "rings"]),
    ("oval", "1", ["--pattern", "cross"]),
    ("bend", "1", ["--pattern", "contour", "--deck", "84in"]),
    ("bend", "1", ["--pattern", "stripes", "--heading", "fewest", "--deck", "72in"]),
    ("dog's leg", "1", ["--pattern", "contour"]),
    ("dog's leg", "1", ["--pattern", "half-and-half", "--deck", "84in"]),
    ("triangle", "1", ["--pattern", "stripes", "--heading", "fewest"]),
    ("triangle", "1", ["--pattern", "rings", "--sense", "ccw"]),
    ("rectangle with a pond", "1", ["--pattern", "stripes", "--heading", "along"]),
    ("rectangle with a pond", "1", ["--pattern", "loops", "--loop-diameter", "6.4m"]),
    ("oval with two bunkers", "1", ["--pattern", "stripes", "--heading", "80"]),
    ("oval with two bunkers", "1", ["--pattern", "cross", "--mower", FIVE]),
    ("hourglass", "1", ["--pattern", "stripes", "--heading", "fewest"]),
    ("hourglass", "1", ["--pattern", "contour", "--deck", "84in"]),
]
MIN_JOBS = 25
FIGURES = ["mean_cuts", "minutes", "lay_r1", "lay_r2", "missed_m2", "overlap_m2", "passes"]


def said(where, fairway, options):
    words = " ".join(o.name if isinstance(o, pathlib.Path) else o for o in options)
    return f"{'fairway ' + fairway if where == 'sample' else where}: {words}"


def work_out(command, job):
    """What the plan says, what others make of it, and the largest difference with its name."""
    where, fairway, options = job
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        course = SAMPLE
        if where != "sample":
            course = folder / "drawn.geojson"
            course.write_text(json.dumps(SHAPES[where]))
        done = subprocess.run([command, "plan", course, "--only", fairway, *options, "--out", folder / "out", "--threads", "1"],
                              capture_output=True, text=True)
        # 1 asks for eyes on the plan; the file is whole all the same.
        if done.returncode > 1:
            return {"fault": f"exit code {done.returncode}: {done.stderr.strip()[-300:]}"}
        plan = json.loads((folder / "out" / "plan.json").read_text())
    [mow] = plan["mows"]
    if not any(t["reels"] == "down" for t in mow["tracks"]):
        return {"fault": "nothing is mown"}
    swept = sweep_again.sweep(mow, plan["mower"], depth=False)
    for figure in FIGURES:
        if figure not in swept:
            return {"fault": f"{figure} could not be worked out"}
    apart = sweep_again.differences(swept, mow["measures"])
    worst = max(apart, key=apart.get)
    if not largest(apart.values()) <= SHARE:
        return {"fault": f"{worst}: the plan says {mow['measures'].get(worst.split('_by_')[0])}, others {swept.get(worst)}"}
    if not (swept["worst_gap_m"] <= 1e-6 and swept["worst_kink_rad"] <= 1e-6):
        return {"fault": "the chain of tracks is broken"}
    return {"swept": swept, "told": mow["measures"], "worst": worst, "apart": apart[worst]}


def row(number, job, found):
    s, t = found["swept"], found["told"]
    figures = " | ".join(f"{s[k]:.{d}f} / {t[k]:.{d}f}" for k, d in zip(FIGURES, (4, 2, 3, 3, 2, 1, 0)))
    return f"| {number} | {said(*job)} | {figures} |"


def main():
    ap = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ap.add_argument("command")
    ap.add_argument("--write", action="store_true")
    ap.add_argument("--only", type=int)
    args = ap.parse_args()
    assert len(JOBS) >= MIN_JOBS and len({said(*j) for j in JOBS}) == len(JOBS)
    chosen = [(i, j) for i, j in enumerate(JOBS, 1) if args.only in (None, i)]
    rows, bad = [], 0
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        # GEOS and NumPy let go of the lock while they work.
        results = pool.map(lambda c: work_out(pathlib.Path(args.command).resolve(), c[1]), chosen)
        for (number, job), found in zip(chosen, results):
            if "fault" in found:
                bad += 1
                print(f"{number:>3} {said(*job)}: FAULT: {found['fault']}", flush=True)
            else:
                rows.append(row(number, job, found))
                print(f"{number:>3} {said(*job)}: as told (worst {found['worst']}, {found['apart']:.1e})", flush=True)
    print(f"{len(chosen)} jobs, {bad} with faults")
    if args.write and not bad and args.only is None:
        TABLE.write_text(
            "# Whole jobs\n\n"
            f"{len(rows)} plans of the built command, worked out again from their tracks by others: areas by shapely "
            f"{shapely.__version__} (GEOS\n{shapely.geos_version_string}), lay and mean cuts by a raster with NumPy "
            f"{numpy.__version__}, minutes and passes from the tracks. Theirs / ours.\nAreas agree within {SHARE:g} of the "
            f"ground, minutes and mean cuts within {SHARE:g} of themselves, R1 and R2 within {sweep_again.RASTER_AGREES:g}.\n"
            "Plans change with the planner; `.ci/run` compares them as they are, and\n"
            "`python tests/scripts/whole_jobs.py target/release/crossgrain --write` writes this page anew.\n\n"
            "| job | what | mean cuts | minutes | R1 | R2 | missed m2 | overlap m2 | passes |\n"
            "| ---: | --- | --- | --- | --- | --- | --- | --- | --- |\n" + "\n".join(rows) + "\n")
    sys.exit(bool(bad))


if __name__ == "__main__":
    main()
