"""Writes a course of 27 holes and rules for 40 weeks, to time a season with.

The course is the sample course three times over, each copy moved east by some 1500 m and its holes
numbered on. Nothing is compared: the figure that `crossgrain season` takes is for whoever measures.

usage: big_course.py FOLDER
  then: crossgrain season FOLDER/course.geojson --rules FOLDER/rules.json --out FOLDER/out
Needs the standard library only.
"""
import copy, json, math, pathlib, sys

HERE = pathlib.Path(__file__).resolve().parent
SAMPLE = HERE.parent.parent / "samples" / "quillback.geojson"
COPIES, STEP_M, M_PER_DEG = 3, 1500.0, 111_195.0


def moved(coordinates, east_deg):
    if isinstance(coordinates[0], (int, float)):
        return [coordinates[0] + east_deg, *coordinates[1:]]
    return [moved(c, east_deg) for c in coordinates]


def latitude(coordinates):
    return coordinates[1] if isinstance(coordinates[0], (int, float)) else latitude(coordinates[0])


def main(folder):
    course = json.loads(SAMPLE.read_text())
    holes = sum(f["properties"].get("role") == "fairway" for f in course["features"])
    step_deg = STEP_M / (M_PER_DEG * math.cos(math.radians(latitude(course["features"][0]["geometry"]["coordinates"]))))
    features = []
    for k in range(COPIES):
        for f in course["features"]:
            f = copy.deepcopy(f)
            f["geometry"]["coordinates"] = moved(f["geometry"]["coordinates"], k * step_deg)
            for key in ("name", "hole"):
                name = f["properties"].get(key, "")
                if name.isdigit():
                    f["properties"][key] = str(int(name) + k * holes)
            features.append(f)
    folder.mkdir(parents=True, exist_ok=True)
    course["features"] = features
    (folder / "course.geojson").write_text(json.dumps(course))
    # 5 April to 9 January is 40 weeks.
    rules = {"season": {"from": "2027-04-05", "to": "2028-01-09"}}
    (folder / "rules.json").write_text(json.dumps(rules))


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    main(pathlib.Path(sys.argv[1]))
