"""Lengths of 1,000 joins of two poses, by a general library.

    python turn_lengths.py > ../stored/turns-forward.csv    # dubins 1.0.1, Python 3.8

dubins 1.0.1 does not build on Python 3.11 and later (its C source wants longintrepr.h, which
is gone); Python 3.8 builds it. The poses come from a fixed seed and are printed in full.
"""
import math
import random


def pairs():
    rng = random.Random(20270503)
    for _ in range(1000):
        # Radii of mowers, poses within the reach of a fairway's width.
        r = rng.uniform(0.8, 6.0)
        span = rng.choice([2.0, 8.0, 40.0])

        def pose():
            place = [round(rng.uniform(-span, span), 4) for _ in range(2)]
            return [*place, round(rng.uniform(0, 2 * math.pi), 5)]

        yield round(r, 3), pose(), pose()


def main():
    try:
        import dubins

        def length(a, b, r):
            return dubins.shortest_path(tuple(a), tuple(b), r).path_length()

    except ImportError:
        # The same C core, compiled without the extension that newer interpreters refuse.
        import dubins_core

        lib = dubins_core.load()

        def length(a, b, r):
            return dubins_core.shortest_length(lib, a, b, r)

    print("# shortest forward joins by PyPI dubins 1.0.1; metres and radians")
    print("radius,x0,y0,h0,x1,y1,h1,length")
    for r, a, b in pairs():
        print(",".join(repr(v) for v in [r, *a, *b, float(length(a, b, r))]))


main()
