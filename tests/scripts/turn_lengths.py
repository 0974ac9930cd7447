"""Lengths of 1,000 joins of two poses, by two general libraries.

    python turn_lengths.py forward > ../stored/turns-forward.csv    # dubins 1.0.1, Python 3.8
    python turn_lengths.py backing > ../stored/turns-backing.csv    # rsplan 1.0.10, Python 3.11

dubins 1.0.1 does not build on Python 3.11 and later (its C source wants longintrepr.h, which
is gone); Python 3.8 builds it. The poses come from a fixed seed and are printed in full, so the
two runs see the same numbers.
"""
import math
import random
import sys


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
    which = sys.argv[1]
    if which == "forward":
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
    else:
        import rsplan

        def length(a, b, r):
            # By default it prefers fewer segments within 2 m; 0 asks for the shortest.
            return rsplan.path(tuple(a), tuple(b), r, 0.0, 1.0, length_tolerance=0.0).total_length

        print("# shortest joins with reversing by PyPI rsplan 1.0.10; metres and radians")
    print("radius,x0,y0,h0,x1,y1,h1,length")
    for r, a, b in pairs():
        print(",".join(repr(v) for v in [r, *a, *b, float(length(a, b, r))]))


main()
