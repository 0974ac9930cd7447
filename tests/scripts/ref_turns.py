"""Shortest forward turns between two poses (Dubins)."""

import math

import numpy as np

import dubins_core

STORED = "turns.json"

# start is always (0, 0, heading 0); x, y, heading, radius
NAMED = [
    (5.0, 0.0, 3.0, 1.0),
    (0.0, 0.0, math.pi, 1.0),
    (0.0, 4.0, math.pi, 1.0),
    (4.0, 4.0, 0.0, 1.0),
    (-4.0, 0.0, 0.0, 1.0),
    (4.0, 0.0, 0.0, 1.0),
    (5.0, 5.0, math.pi / 2, 4.99),
    # Next pass, two passes on, ten passes on, at a deck's spacing.
    (0.0, 2.44, math.pi, 1.8),
    (0.0, 4.88, math.pi, 1.8),
    (0.0, 24.4, math.pi, 1.8),
    (1.5, -2.44, math.pi, 3.2),
]


def derive():
    lib = dubins_core.load()
    rng = np.random.default_rng(1957)
    poses = list(NAMED)
    for _ in range(9):
        x, y = rng.uniform(-12, 12, 2)
        poses.append((round(float(x), 3), round(float(y), 3), round(float(rng.uniform(-math.pi, math.pi)), 4), round(float(rng.uniform(1, 5)), 2)))
    cases = []
    for x, y, h, r in poses:
        cases.append(
            {
                "x_m": x,
                "y_m": y,
                "heading_rad": h,
                "radius_m": r,
                "forward_m": dubins_core.shortest_length(lib, (0.0, 0.0, 0.0), (x, y, h), r),
            }
        )
    return {
        "forward_by": f"PyPI dubins {dubins_core.VERSION} (its C core)",
        "cases": cases,
    }
