"""Whether two results are the same, for every script that compares with what is stored.

A comparer that cannot fail proves nothing, so: lists and tables are gone through to the last
number, a missing entry is a fault, and so is a figure that is no finite number, even where both
sides say so. `test_same.py` tries it on results that differ.
"""

import math

# One part in 1e9 allows for another processor's rounding.
DRIFT = 1e-9


def differences(found, stored, within=DRIFT, where=""):
    """Every place where two values differ, in words; none when they are the same.

    Text, truth and whole numbers must be equal. Where either is a fraction the two may differ by
    `within` of the larger, and of no less than 1.
    """
    if isinstance(found, dict) and isinstance(stored, dict):
        if found.keys() != stored.keys():
            return [f"{where}: keys {sorted(found)} and {sorted(stored)}"]
        return [d for k in found for d in differences(found[k], stored[k], within, f"{where}.{k}")]
    if isinstance(found, (list, tuple)) and isinstance(stored, (list, tuple)):
        if len(found) != len(stored):
            return [f"{where}: {len(found)} and {len(stored)} entries"]
        return [d for i, (x, y) in enumerate(zip(found, stored)) for d in differences(x, y, within, f"{where}[{i}]")]
    if is_number(found) and is_number(stored):
        if not (math.isfinite(found) and math.isfinite(stored)):
            return [f"{where}: {found!r} and {stored!r}, which are not finite"]
        whole = isinstance(found, int) and isinstance(stored, int)
        # Written so that nothing passes by being no number.
        if found == stored if whole else abs(found - stored) <= within * max(1.0, abs(found), abs(stored)):
            return []
        return [f"{where}: {found!r} and {stored!r}"]
    return [] if type(found) is type(stored) and found == stored else [f"{where}: {found!r} and {stored!r}"]


def is_number(v):
    return isinstance(v, (int, float)) and not isinstance(v, bool)


def largest(values):
    """The largest of some differences; infinite when one is no finite number or there is none.

    `max` alone takes `max(0.0, nan)` for 0.0.
    """
    values = list(values)
    if not values or not all(is_number(v) and math.isfinite(v) for v in values):
        return math.inf
    return max(values)
