"""Draws the small pictures of the guide from plan files. Needs only Python 3.

usage: python3 guide_pictures.py plan.json FAIRWAY picture.svg
The plan file is what `crossgrain plan` writes. The ground is pale, keep-outs are hatched by
tone, lowered reels draw a dark line and lifted ones a thin dotted one.
"""
import json, math, sys


def d(v):
    return f"{v:.1f}".rstrip("0").rstrip(".")


def shape(polygons):
    return " ".join("M" + "L".join(f"{d(x)} {d(-y)}" for x, y in ring) + "Z" for p in polygons for ring in p)


def tracks(mow, reels):
    out, at = [], None
    for t in mow["tracks"]:
        if t["reels"] != reels:
            at = None
            continue
        if "line" in t:
            a, b = t["line"][0], t["line"][-1]
            pieces = [(b, None, None)]
        else:
            arc = t["arc"]
            f, s, r = math.radians(arc["from_deg"]), math.radians(arc["sweep_deg"]), arc["radius"]
            point = lambda w: (arc["centre"][0] + r * math.cos(w), arc["centre"][1] + r * math.sin(w))
            a = point(f)
            # A whole circle is drawn as two arcs.
            n = 2 if abs(s) > math.pi + 1e-6 else 1
            pieces = [(point(f + s * (i + 1) / n), r, s / n) for i in range(n)]
        if at is None or math.dist(at, a) > 0.05:
            out.append(f"M{d(a[0])} {d(-a[1])}")
        for b, r, s in pieces:
            if r is None:
                out.append(f"L{d(b[0])} {d(-b[1])}")
            else:
                # y points down on the page, so a left turn sweeps the other way.
                out.append(f"A{d(r)} {d(r)} 0 {int(abs(s) > math.pi)} {int(s < 0)} {d(b[0])} {d(-b[1])}")
            at = b
    return "".join(out)


plan = json.load(open(sys.argv[1]))
mow = next(m for m in plan["mows"] if m["fairway"] == sys.argv[2])
xs = [x for p in mow["outline"] for r in p for x, _ in r]
ys = [-y for p in mow["outline"] for r in p for _, y in r]
room = 12
x0, y0, w, h = min(xs) - room, min(ys) - room, max(xs) - min(xs) + 2 * room, max(ys) - min(ys) + 2 * room
open(sys.argv[3], "w").write(
    f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{d(x0)} {d(y0)} {d(w)} {d(h)}" width="640" role="img" '
    f'style="background:#fff" fill="none">'
    f'<path d="{shape(mow["outline"])}" fill="#e4eed8" fill-rule="evenodd" stroke="#333" stroke-width=".4"/>'
    f'<path d="{shape(mow["keep_outs"])}" fill="#d9b98a" stroke="#333" stroke-width=".3"/>'
    f'<path d="{tracks(mow, "up")}" stroke="#b33" stroke-width=".25" stroke-dasharray="1 1"/>'
    f'<path d="{tracks(mow, "down")}" stroke="#1d4f91" stroke-width=".4"/></svg>\n'
)
