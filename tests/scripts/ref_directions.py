"""Mean direction and resultant lengths from SciPy, for directions and for axes."""

import numpy as np
import scipy
from scipy import stats

STORED = "directions.json"

DATA_DEG = {
    "eight bearings of Zar 26.4": [45, 55, 81, 96, 110, 117, 132, 154],
    "fifteen axes of Zar 26.7": [35, 40, 40, 45, 45, 55, 60, 215, 220, 225, 225, 235, 235, 240, 245],
    "nine bearings of Mardia and Jupp 1.1": [43, 45, 52, 61, 75, 88, 88, 279, 357],
    "six bearings of Jammalamadaka and SenGupta": [51, 67, 40, 109, 31, 358],
    "across north": [350, 352, 5, 8, 359.5],
    "two opposite, nearly": [10, 189],
    "a week of stripes": [41.5, 221.5, 131.5, 311.5, 41.5, 86.5, 266.5],
}


def resultant(angles_rad, weights):
    x = np.column_stack([np.cos(angles_rad), np.sin(angles_rad)])
    # SciPy's own statistic takes no weights: repeat the rows, which is the same for counts.
    return float(stats.directional_stats(np.repeat(x, weights, axis=0)).mean_resultant_length)


def derive():
    cases = []
    rng = np.random.default_rng(20270503)
    data = dict(DATA_DEG)
    for n in (3, 17, 200):
        data[f"{n} drawn from a von Mises, seed 20270503"] = [
            round(float(d), 4) for d in np.degrees(rng.vonmises(1.1, 1.7, n)) % 360
        ]
    for name, deg in data.items():
        rad = np.radians(deg)
        weights = [1] * len(deg)
        cases.append(
            {
                "name": name,
                "deg": deg,
                "mean_deg": float(np.degrees(stats.circmean(rad))),
                "axis_deg": float(np.degrees(stats.circmean(2 * rad)) / 2 % 180),
                "r1": resultant(rad, weights),
                "r2": resultant(2 * rad, weights),
            }
        )
    return {"source": f"SciPy {scipy.__version__}: scipy.stats.circmean, directional_stats", "cases": cases}
