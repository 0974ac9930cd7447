"""Solves small cases of the season's choice with CVXPY and Clarabel, and some by enumeration.

The cases are those of `crates/season/src/choice/tests.rs`: the same numbers from the same
generator. For each: the least of F plus the price of the minutes when visits may be split
(F as in `choice/spread.rs`: area-weighted mean of |S| / D and 0.1 times its CVaR at 95%), and for
the first eight the least over all whole visits, found by trying every one.

usage: season_bound.py           writes tests/stored/season_bound.csv
       season_bound.py --check   solves again and compares with what is stored
Needs cvxpy, clarabel and numpy.
"""
import itertools, math, pathlib, sys

import cvxpy as cp
import numpy as np

STORED = pathlib.Path(__file__).resolve().parent.parent / "stored" / "season_bound.csv"
CASES, ENUMERATED, TOLERANCE = 16, 8, 1e-6
TAIL_WEIGHT, TAIL = 0.1, 0.05


class Numbers:
    def __init__(self, seed):
        self.state = seed

    def next(self):
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self.state >> 11) / 2**53


def case(k):
    r = Numbers(k + 1)
    cells, axes = 8 + 6 * (k % 5), 3 + k % 4
    ground = np.array([1 + 3 * r.next() for _ in range(cells)])
    edge = []
    for _ in range(cells):
        weight = 1.0 if r.next() < 0.3 else 0.0
        edge.append((weight, math.tau * r.next()))
    w, v, minutes = [], [], []
    for a in range(axes):
        angle = math.tau * (a / axes + 0.05 * r.next())
        row_w, row_v = [], []
        for g, (we, ae) in zip(ground, edge):
            cut = g * (0.7 + 0.4 * r.next())
            bend = angle + 0.4 * (r.next() - 0.5)
            row_w.append(cut + we * g)
            row_v.append((cut * math.cos(bend) + we * g * math.cos(ae), cut * math.sin(bend) + we * g * math.sin(ae)))
        w.append(row_w)
        v.append(row_v)
        minutes.append(30 + 20 * r.next())
    groups = [(6, [[m] for m in range(axes)])]
    if k % 2 == 1:
        groups.append((3, [[m, (m + 1) % axes] for m in range(axes)]))
    return ground, np.array(w), np.array(v), np.array(minutes), groups, (0.0, 0.002, 0.01)[k % 3]


def reference(w, groups):
    times = np.zeros(len(w))
    for visits, atoms in groups:
        for atom in atoms:
            for m in atom:
                times[m] += visits / len(atoms)
    return times @ w


def split(k):
    ground, w, v, minutes, groups, price = case(k)
    d, share = reference(w, groups), ground / ground.sum()
    times, constraints = 0, []
    for visits, atoms in groups:
        z = cp.Variable(len(atoms), nonneg=True)
        constraints.append(cp.sum(z) == visits)
        made = np.zeros((len(atoms), len(w)))
        for a, atom in enumerate(atoms):
            for m in atom:
                made[a, m] += 1
        times = times + made.T @ z
    s = cp.vstack([(v[:, :, i] / d).T @ times for i in (0, 1)])
    u = cp.norm(s, 2, axis=0)
    t = cp.Variable()
    f = share @ u + TAIL_WEIGHT * (t + share @ cp.pos(u - t) / TAIL)
    problem = cp.Problem(cp.Minimize(f + price * (minutes @ times)), constraints)
    problem.solve(solver=cp.CLARABEL, tol_gap_abs=1e-10, tol_gap_rel=1e-10, tol_feas=1e-10)
    assert problem.status == "optimal", (k, problem.status)
    return problem.value


def value(k, times, known):
    ground, w, v, minutes, groups, price = known
    d, share = reference(w, groups), ground / ground.sum()
    s = np.einsum("m,mci->ci", times, v)
    u = np.hypot(s[:, 0], s[:, 1]) / d
    left, tail = TAIL, 0.0
    for c in np.argsort(-u):
        part = min(share[c], left)
        tail += part * u[c]
        left -= part
        if left <= 0:
            break
    return share @ u + TAIL_WEIGHT * tail / TAIL + price * (minutes @ times)


def whole(k):
    known = case(k)
    groups, mows = known[4], len(known[1])

    def ways(visits, atoms):
        return [
            np.bincount(chosen, minlength=atoms)
            for chosen in itertools.combinations_with_replacement(range(atoms), visits)
        ]

    best = math.inf
    for counts in itertools.product(*(ways(visits, len(atoms)) for visits, atoms in groups)):
        times = np.zeros(mows)
        for (_, atoms), n in zip(groups, counts):
            for atom, times_made in zip(atoms, n):
                for m in atom:
                    times[m] += times_made
        best = min(best, value(k, times, known))
    return best


def main(check):
    rows = [(k, split(k), whole(k) if k < ENUMERATED else None) for k in range(CASES)]
    if not check:
        lines = ["case,split,whole"] + [f"{k},{s!r},{'' if b is None else repr(b)}" for k, s, b in rows]
        STORED.write_text("\n".join(line.replace("np.float64(", "").replace(")", "") for line in lines) + "\n")
        return
    stored = [line.split(",") for line in STORED.read_text().splitlines()[1:]]
    assert len(stored) == len(rows), "another number of cases is stored"
    for (k, s, b), (name, split_stored, whole_stored) in zip(rows, stored):
        assert name == str(k)
        assert abs(s - float(split_stored)) < TOLERANCE, f"case {k}: {s}, stored {split_stored}"
        if b is not None:
            assert abs(b - float(whole_stored)) < TOLERANCE, f"case {k}: {b}, stored {whole_stored}"
    print(f"{len(rows)} cases agree, {ENUMERATED} of them enumerated")


if __name__ == "__main__":
    if sys.argv[1:] not in ([], ["--check"]):
        sys.exit(__doc__)
    main(bool(sys.argv[1:]))
