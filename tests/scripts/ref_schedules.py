"""R1 and R2 of dated mowing schedules from SciPy: every heading on its day, older mows weighing less.

SciPy's statistic takes no weights. Where mows fade, days are chosen so that every weight is a power
of two, and each heading is repeated as often as it weighs over the lightest: the statistic stays
SciPy's own. The schedules are invented.
"""

import datetime

import numpy as np
import scipy
from scipy import stats

STORED = "schedules.json"
MONDAY = datetime.date(2027, 4, 5)


def weekly(headings, weeks, first=MONDAY, every=7):
    """The headings in turn, one mow each `every` days."""
    return [(first + datetime.timedelta(days=every * i), headings[i % len(headings)]) for i in range(weeks)]


def thrice(headings, weeks):
    """Monday, Wednesday, Friday, the headings in turn."""
    days = [MONDAY + datetime.timedelta(days=7 * w + d) for w in range(weeks) for d in (0, 2, 4)]
    return [(day, headings[i % len(headings)]) for i, day in enumerate(days)]


def schedules():
    """Name, half-life in days or none, the mows, and the day to look."""
    last = lambda mows: mows[-1][0]
    rng = np.random.default_rng(20270405)
    plain = {
        "one heading all season": weekly([41.5], 30),
        "back and forth": thrice([41.5, 221.5], 10),
        "two axes square to each other": thrice([0, 90, 180, 270], 12),
        "the clock's four axes": thrice([0, 90, 45, 315], 16),
        "three axes": thrice([45, 90, 135], 10),
        "three axes, thirteen mows": thrice([45, 90, 135], 10)[:13],
        "two axes 30 degrees apart": thrice([10, 40], 8),
        "a cross cut each fourth": thrice([20, 200, 20, 110], 12),
        "along, with one across a month": weekly([85, 265, 85, 265, 175], 25),
        "turned by 22.5 degrees a week": weekly([22.5 * i for i in range(16)], 16),
        "turned by 137.5 degrees a mow": thrice([(137.5 * i) % 360 for i in range(60)], 20),
        "headings at random": thrice([round(float(h), 2) for h in rng.uniform(0, 360, 90)], 30),
        "near north on both sides": weekly([350, 10, 355, 4], 24),
        "five in a row, then none": thrice([301, 121], 2)[:5],
    }
    fading = {
        "one heading, fading": (7, weekly([41.5], 12)),
        "two axes by week, fading in a week": (7, weekly([0, 90], 12)),
        "two axes by week, fading in a fortnight": (7, weekly([0, 90], 8, every=14)),
        "four axes by week, fading in a week": (7, weekly([0, 90, 45, 315], 13)),
        "a change of axis, four weeks ago": (7, weekly([15] * 6 + [105] * 4, 10)),
        "back and forth, fading in a fortnight": (14, weekly([230, 50], 9, every=14)),
        "turned by 60 degrees, fading in three weeks": (21, weekly([30, 90, 150, 210, 270, 330], 10, every=21)),
        "headings at random, fading in a week": (7, weekly([round(float(h), 2) for h in rng.uniform(0, 360, 11)], 11)),
    }
    for name, mows in plain.items():
        yield name, None, mows, last(mows)
    for name, (half_life, mows) in fading.items():
        # Looked at later than the last mow: all weights fall alike.
        yield name, half_life, mows, last(mows) + datetime.timedelta(days=half_life)


def resultant(rad):
    return float(stats.directional_stats(np.column_stack([np.cos(rad), np.sin(rad)])).mean_resultant_length)


def derive():
    out = []
    for name, half_life, mows, on in schedules():
        times = [1] * len(mows)
        if half_life:
            halvings = [(on - day).days / half_life for day, _ in mows]
            assert all(h == int(h) for h in halvings), name
            times = [2 ** int(max(halvings) - h) for h in halvings]
        # Compass headings; the length of the mean does not depend on where angles start.
        rad = np.repeat(np.radians([h for _, h in mows]), times)
        out.append({
            "name": name,
            "half_life_days": half_life,
            "on": on.isoformat(),
            "mows": [{"date": day.isoformat(), "heading_deg": h} for day, h in mows],
            "r1": resultant(rad),
            "r2": resultant(2 * rad),
        })
    return {"source": f"SciPy {scipy.__version__}: scipy.stats.directional_stats", "schedules": out}
