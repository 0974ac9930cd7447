"""What a drive did, point by point: how often each point was cut, and which way.

Ground is laid out in square cells, each with FINE x FINE points. Every lowered track is asked
which points its cutting lines pass over, by the definition: on a line, points inside the
rectangle; on an arc, points whose distance from the turning centre lies between the two ends'
and whose angle the cutting line comes past. No polygon is built, so nothing is shared with the
overlay library, and nothing of ours is used.

A point is worth CELL^2 / FINE^2 square metres. An edge is off by half a point's width at random, so
areas are good to about a thousandth of the ground, and R1 and R2 to a few thousandths.
"""

import math

import numpy as np
import shapely

CELL_M = 1.0
FINE = 8
# Long lines are taken in parts, so that few points outside the rectangle are asked.
PART_M = 12.0
# Multiples of these, less their whole part, are spread evenly (Weyl).
GOLDEN, ROOT_2 = (math.sqrt(5) - 1) / 2, math.sqrt(2)


class Raster:
    """Sums over the points of a grid about `ground`."""

    def __init__(self, ground, cell_m=CELL_M, fine=FINE):
        x0, y0, x1, y1 = ground.bounds
        self.cell_m, self.fine = cell_m, fine
        self.step = cell_m / fine
        # Cells hang on the plane's origin, as those of the measures do.
        self.x0, self.y0 = math.floor(x0 / cell_m) * cell_m, math.floor(y0 / cell_m) * cell_m
        self.nx = max(1, math.ceil((x1 - self.x0) / cell_m)) * fine
        self.ny = max(1, math.ceil((y1 - self.y0) / cell_m)) * fine
        # One point in each small square, at a place of its own: on a plain grid all points of a row
        # would fall on the same side of a stripe's edge that runs along it.
        self.x = self.x0 + np.arange(self.nx) * self.step
        self.y = self.y0 + np.arange(self.ny) * self.step
        self.dx = self.step * np.modf((np.arange(self.ny) + 1) * GOLDEN)[0]
        self.dy = self.step * np.modf((np.arange(self.nx) + 1) * ROOT_2)[0]
        xx, yy = self.x[None, :] + self.dx[:, None], self.y[:, None] + self.dy[None, :]
        shapely.prepare(ground)
        self.inside = shapely.contains_xy(ground, xx, yy)
        self.cuts = np.zeros((self.ny, self.nx), np.int32)
        self.v1 = np.zeros((self.ny, self.nx), complex)
        self.v2 = np.zeros((self.ny, self.nx), complex)

    def window(self, xs, ys):
        """The part of the grid between some coordinates."""
        i = [int(np.clip(v, 0, self.nx)) for v in ((min(xs) - self.x0) / self.step - 1, (max(xs) - self.x0) / self.step + 2)]
        j = [int(np.clip(v, 0, self.ny)) for v in ((min(ys) - self.y0) / self.step - 1, (max(ys) - self.y0) / self.step + 2)]
        at = (slice(j[0], j[1]), slice(i[0], i[1]))
        return at, self.x[at[1]][None, :] + self.dx[at[0]][:, None], self.y[at[0]][:, None] + self.dy[at[1]][None, :]

    def add(self, at, times, direction):
        """`times` is how often each point was passed, `direction` the unit vector it was passed in."""
        self.cuts[at] += times
        self.v1[at] += times * direction
        self.v2[at] += times * direction**2

    def line(self, start, end, unit):
        (ax, ay), (bx, by) = start, end
        length = math.hypot(bx - ax, by - ay)
        if length == 0:
            return
        t = complex(bx - ax, by - ay) / length
        left, right = unit["across_m"] + unit["width_m"] / 2, unit["across_m"] - unit["width_m"] / 2
        parts = max(1, math.ceil(length / PART_M))
        for k in range(parts):
            lo, hi = length * k / parts, length * (k + 1) / parts
            corners = [complex(ax, ay) + t * complex(s + unit["ahead_m"], a) for s in (lo, hi) for a in (left, right)]
            at, x, y = self.window([c.real for c in corners], [c.imag for c in corners])
            along = (x - ax) * t.real + (y - ay) * t.imag - unit["ahead_m"]
            across = (y - ay) * t.real - (x - ax) * t.imag
            self.add(at, ((along >= lo) & (along < hi) & (across > right) & (across < left)).astype(np.int32), t)

    def arc(self, arc, unit):
        cx, cy = arc["centre"]
        start, sweep = math.radians(arc["from_deg"]), math.radians(arc["sweep_deg"])
        side = math.copysign(1.0, sweep)
        left, right = unit["across_m"] + unit["width_m"] / 2, unit["across_m"] - unit["width_m"] / 2
        # Seen along the spoke from the turning centre: how far out the two ends of the line stand.
        out = sorted((arc["radius"] - side * left, arc["radius"] - side * right))
        ahead = unit["ahead_m"]
        far = math.hypot(max(map(abs, out)), ahead)
        at, x, y = self.window([cx - far, cx + far], [cy - far, cy + far])
        dx, dy = x - cx, y - cy
        r2 = dx * dx + dy * dy
        theta = np.arctan2(dy, dx)
        s = np.sqrt(np.maximum(r2 - ahead * ahead, 0.0))
        # A point may be met by the line's part on this side of the turning centre and beyond it.
        for spoke in (s, -s):
            met = (r2 >= ahead * ahead) & (spoke > out[0]) & (spoke < out[1])
            if not met.any():
                continue
            # The line's point at `spoke` stands at this angle ahead of the spoke itself.
            lead = np.arctan2(ahead, spoke)
            turned = side * (theta - side * lead - start)
            turned = np.mod(turned, 2 * math.pi)
            laps = np.floor((abs(sweep) - turned) / (2 * math.pi)) + 1
            times = np.where(met & (turned < abs(sweep)), np.maximum(laps, 0), 0).astype(np.int32)
            # Everything moves square to its radius from the turning centre.
            self.add(at, times, 1j * side * np.exp(1j * theta))

    def tracks(self, tracks, units):
        for t in tracks:
            if t["reels"] != "down":
                continue
            for u in units:
                if "line" in t:
                    self.line(*t["line"], u)
                else:
                    self.arc(t["arc"], u)
        return self

    def by_cell(self, values):
        f = self.fine
        return values.reshape(self.ny // f, f, self.nx // f, f).sum(axis=(1, 3))

    def areas(self):
        """Ground cut k times, k = 0, 1, 2 ..., square metres."""
        return np.bincount(self.cuts[self.inside]) * self.step**2

    def lay(self):
        """R1 and R2 of each cell that was cut, and the ground in it."""
        return lay_of(self.by_cell(self.cuts), self.by_cell(self.v1), self.by_cell(self.v2), self.by_cell(self.inside))


def lay_of(weight, v1, v2, ground):
    cut = (weight > 0) & (ground > 0)
    r1, r2 = np.abs(v1[cut]) / weight[cut], np.abs(v2[cut]) / weight[cut]
    return np.minimum(r1, 1.0), np.minimum(r2, 1.0), ground[cut].astype(float)


def mean_and_p95(r, ground):
    """The mean by ground, and what 95% of the ground stays at or below."""
    if len(r) == 0:
        return 0.0, 0.0
    order = np.argsort(r)
    share = np.cumsum(ground[order]) / ground.sum()
    return float((r * ground).sum() / ground.sum()), float(r[order][min(len(r) - 1, int(np.searchsorted(share, 0.95)))])
