"""Length of the curve that a point draws while it circles and advances steadily (a trochoid).

By numerical quadrature of the speed, not by the closed form.
"""

import math

import scipy
from scipy.integrate import quad

STORED = "circular.json"
# mean radius, advance per loop, metres
CASES = [(10.0, 2.0), (6.0, 2.0), (5.0, 5.0), (1.0, 2 * math.pi), (3.35, 2.3), (3.05, 1.9), (7.62, 3.6)]


def derive():
    cases = []
    for radius, advance in CASES:
        a = advance / (2 * math.pi)
        speed = lambda t: math.hypot(a + radius * math.cos(t), radius * math.sin(t))
        # The cusp, where there is one, lies at pi.
        length = sum(quad(speed, lo, hi, epsabs=1e-12, epsrel=1e-12)[0] for lo, hi in ((0, math.pi), (math.pi, 2 * math.pi)))
        cases.append({"radius_m": radius, "advance_m": advance, "length_m": length})
    return {"source": f"SciPy {scipy.__version__}: scipy.integrate.quad", "cases": cases}
