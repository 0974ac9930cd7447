"""Full circles that advance, laid on a raster: how often ground inside their band is cut."""

import math

import numpy
from shapely.geometry import box

import raster

STORED = "circular.json"
# mean radius, cutting width, advance, metres
CASES = [(6.0, 2.5, 2.5), (6.0, 2.5, 2.0), (6.0, 2.5, 3.0), (10.0, 2.54, 2.3), (3.2, 2.13, 1.9), (7.62, 3.35, 2.6)]
# Points a centimetre apart.
FINE = 100


def derive():
    cases = []
    for r, w, p in CASES:
        # Half the common chord of two neighbours' outer edges.
        half = math.sqrt((r + w / 2) ** 2 - p * p / 4)
        n = math.ceil((r + w) / p) + 2
        unit = {"across_m": 0.0, "ahead_m": 0.0, "width_m": w}
        dots = raster.Raster(box(0, -half, p, half), fine=FINE)
        for i in range(-n, n + 1):
            dots.arc({"centre": [i * p, 0.0], "radius": r, "from_deg": 17.0, "sweep_deg": 360.0}, unit)
        areas = dots.areas()
        mean = float((numpy.arange(len(areas)) * areas).sum() / areas.sum())
        fewest = int(numpy.argmax(areas > 1e-5 * areas.sum()))
        cases.append({"radius_m": r, "width_m": w, "advance_m": p, "half_m": half, "mean_cuts": mean, "fewest": fewest})
    by = f"with NumPy {numpy.__version__}"
    return {"raster": f"raster.py {by}", "search": f"loop_lattice.py {by}", "cases": cases}
