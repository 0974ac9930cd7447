"""The least idle driving over rectangles of straight passes, by a general routing solver.

    python order_best.py > ../stored/order-best.json        # ortools 9.15, about ten minutes

Each pass has two nodes, driven up or down; one of them is visited. Costs are the shortest
forward turns, in millimetres; coming and going are free. With directions kept, odd passes are
driven up and even ones down, and only one node of each exists. The solver starts from its own
first solution and improves it by guided local search for a fixed time. Its best is what the
planner's order is held against; where the planner is better, so much the better.
"""
import json
import math
import sys

from ortools.constraint_solver import pywrapcp, routing_enums_pb2

WIDTH = 2.54
SPACING = 2.44
LENGTH = 150.0
SECONDS = int(sys.argv[1]) if len(sys.argv) > 1 else 15


def turn(t):
    t = math.fmod(t, 2 * math.pi)
    t = t + 2 * math.pi if t < 0 else t
    return 0.0 if t > 2 * math.pi - 1e-10 else t


def shortest(a, b, r):
    """Dubins 1957 by circles: arc, line, arc and three arcs."""
    best = math.inf
    for s1 in (1, -1):
        c1 = (a[0] - s1 * r * math.sin(a[2]), a[1] + s1 * r * math.cos(a[2]))
        for s3 in (1, -1):
            c3 = (b[0] - s3 * r * math.sin(b[2]), b[1] + s3 * r * math.cos(b[2]))
            dx, dy = c3[0] - c1[0], c3[1] - c1[1]
            d = math.hypot(dx, dy)
            theta = math.atan2(dy, dx)
            if s1 == s3:
                line, head = (d, theta) if d > 1e-9 else (0.0, a[2])
                best = min(best, r * (turn(s1 * (head - a[2])) + turn(s3 * (b[2] - head))) + line)
                if d <= 4 * r:
                    for bend in (1, -1):
                        out = theta + bend * math.acos(d / (4 * r))
                        c2 = (c1[0] + 2 * r * math.cos(out), c1[1] + 2 * r * math.sin(out))
                        back = math.atan2(c2[1] - c3[1], c2[0] - c3[0])
                        first = turn(s1 * (out - a[2]) + math.pi / 2)
                        middle = turn(-s1 * (back - out))
                        last = turn(s1 * (b[2] - back) - math.pi / 2)
                        best = min(best, r * (first + middle + last))
            elif d >= 2 * r * (1 - 1e-12):
                head = theta + s1 * math.asin(min(1.0, 2 * r / d))
                line = math.sqrt(max(0.0, d * d - 4 * r * r))
                best = min(best, r * (turn(s1 * (head - a[2])) + turn(s3 * (b[2] - head))) + line)
    return best


def solve(passes, radius, kept):
    # Node: pass, direction (1 up, 0 down), entry pose, exit pose.
    nodes = []
    for i in range(passes):
        x = i * SPACING
        for up in (1, 0):
            if kept and up != i % 2:
                continue
            low, high = (x, 0.0), (x, LENGTH)
            h = math.pi / 2 if up else -math.pi / 2
            first, last = (low, high) if up else (high, low)
            nodes.append((i, up, (*first, h), (*last, h)))
    n = len(nodes)
    cost = [[0] * (n + 1) for _ in range(n + 1)]
    for p in range(n):
        for q in range(n):
            if nodes[p][0] != nodes[q][0]:
                cost[p + 1][q + 1] = round(1000 * shortest(nodes[p][3], nodes[q][2], radius))
    manager = pywrapcp.RoutingIndexManager(n + 1, 1, 0)
    model = pywrapcp.RoutingModel(manager)
    index = model.RegisterTransitCallback(
        lambda a, b: cost[manager.IndexToNode(a)][manager.IndexToNode(b)]
    )
    model.SetArcCostEvaluatorOfAllVehicles(index)
    for i in range(passes):
        both = [manager.NodeToIndex(k + 1) for k in range(n) if nodes[k][0] == i]
        model.AddDisjunction(both, 10**9)
    search = pywrapcp.DefaultRoutingSearchParameters()
    search.first_solution_strategy = routing_enums_pb2.FirstSolutionStrategy.PATH_CHEAPEST_ARC
    search.local_search_metaheuristic = (
        routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    )
    search.time_limit.seconds = SECONDS
    found = model.SolveWithParameters(search)
    order = []
    at = found.Value(model.NextVar(model.Start(0)))
    while not model.IsEnd(at):
        k = manager.IndexToNode(at) - 1
        order.append([nodes[k][0], nodes[k][1]])
        at = found.Value(model.NextVar(at))
    assert sorted(o[0] for o in order) == list(range(passes))
    return found.ObjectiveValue() / 1000, order


rows = []
for passes in (10, 20, 40, 60):
    for ratio in (0.5, 1.0, 1.5, 2.0, 3.0):
        for kept in (False, True):
            best, order = solve(passes, ratio * WIDTH, kept)
            rows.append(
                {"passes": passes, "radius_m": ratio * WIDTH, "kept": kept, "best_m": round(best, 3), "order": order}
            )
            print(rows[-1]["passes"], ratio, kept, best, file=sys.stderr, flush=True)
head = {
    "by": "PyPI ortools 9.15.6755, guided local search, %d s each" % SECONDS,
    "spacing_m": SPACING,
    "length_m": LENGTH,
}
# One row a line, so that a change can be read.
text = json.dumps(head)[:-1] + ', "rows": [\n'
print(text + ",\n".join(json.dumps(r) for r in rows) + "\n]}")
