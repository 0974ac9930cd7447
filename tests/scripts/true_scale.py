"""Measures the printed scale with outside libraries: the outline drawn on a sheet, parsed by
svgelements and measured by shapely in the file's own millimetres, times the ratio printed on the
sheet, against the ellipsoidal area of the same polygon in the course file (pyproj's geodesics).

    python true_scale.py COURSE.geojson FOLDER...      (FOLDER: what `crossgrain plan` wrote)
"""

import json
import pathlib
import re
import sys
import xml.etree.ElementTree as ElementTree

import pyproj
import shapely
from svgelements import Path

SVG = "{http://www.w3.org/2000/svg}"
# The part by which area times ratio squared may be off. Twice the 0.2% that lengths may be off,
# since an area goes with the square.
ALLOWED = 0.004
geod = pyproj.Geod(ellps="WGS84")


def on_the_ground(course, name):
    """Square metres of a fairway's outline, by geodesics."""
    for feature in course["features"]:
        properties = feature["properties"]
        if properties.get("role") == "fairway" and properties.get("name") == name:
            return abs(geod.geometry_area_perimeter(shapely.geometry.shape(feature["geometry"]))[0])
    sys.exit(f"FAIL no fairway {name} in the course file")


def on_paper(root):
    """Square millimetres inside the drawn outline."""
    width = float(root.get("width").removesuffix("mm"))
    if float(root.get("viewBox").split()[2]) != width:
        sys.exit("FAIL a unit of the drawing is not a millimetre")
    group = next(g for g in root.iter(SVG + "g") if g.get("class") == "outline")
    area = 0.0
    for part in Path(group.find(SVG + "path").get("d")).as_subpaths():
        area += shapely.Polygon([(p.x, p.y) for p in Path(part).as_points()]).area
    return area


def main():
    course = json.loads(pathlib.Path(sys.argv[1]).read_text())
    sheets = 0
    worst = 0.0
    for folder in map(pathlib.Path, sys.argv[2:]):
        for path in sorted(folder.glob("fairway-*.svg")):
            name = re.match(r"fairway-([^-]+)-", path.name)[1]
            root = ElementTree.parse(path).getroot()
            texts = [(t.text or "").strip() for t in root.iter(SVG + "text")]
            ratio = next(
                int(re.sub(r"[^0-9]", "", m[1]))
                for t in texts
                if (m := re.match(r"(?:Scale|Escala) 1:([0-9 ,.\u202f]+)", t))
            )
            drawn = on_paper(root) * ratio**2 / 1e6
            off = drawn / on_the_ground(course, name) - 1
            worst = max(worst, abs(off))
            sheets += 1
            if abs(off) > ALLOWED:
                sys.exit(f"FAIL {path} is off its scale 1:{ratio} by {100 * off:.3f}% of area")
    if not sheets:
        sys.exit("FAIL no sheets")
    print(f"ok   {sheets} sheets true to scale, at most {100 * worst:.4f}% of area off")


if __name__ == "__main__":
    main()
