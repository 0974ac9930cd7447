#!/usr/bin/env python3
"""Files of other programs in, files of ours out, against general parsers of each format.

    python tests/scripts/exchange.py target/release/crossgrain

In: the sample course written by GDAL (pyogrio) as KML, GPX, GeoPackage and shapefile (in degrees
and in map coordinates), read back: each must give the same plan within a millimetre.
Out: what `export` writes, read by pyogrio (GDAL), gpxpy, ezdxf, fastkml and isoxml: the same
counts, and lengths within a millionth.
"""

import argparse
import json
import math
import pathlib
import re
import subprocess
import sys
import tempfile
import warnings
from decimal import Decimal
from enum import Enum

import geopandas
import numpy
import pyogrio
import pyproj
import shapely

ROOT = pathlib.Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "samples" / "quillback.geojson"
WITHIN_M = 1e-3
WITHIN_PART = 1e-6
faults = []


def say(ok, what):
    print(f"{'ok ' if ok else 'NOT'}  {what}", flush=True)
    if not ok:
        faults.append(what)


def run(*args, codes=(0, 1)):
    done = subprocess.run([str(a) for a in args], capture_output=True, text=True)
    if done.returncode not in codes:
        raise SystemExit(f"{' '.join(map(str, args))}\n{done.stdout}{done.stderr}")
    return done.stdout


def plan(command, course, out, *more):
    run(command, "plan", course, "--out", out, "--only", "3,8", *more)
    return json.loads((pathlib.Path(out) / "plan.json").read_text())


def farthest(a, b):
    """Largest distance between two plans' tracks on the ground; infinite if they differ in kind."""
    def points(p):
        aeqd = pyproj.Transformer.from_crs(
            f"+proj=aeqd +lon_0={p['origin']['lon']!r} +lat_0={p['origin']['lat']!r} +datum=WGS84", "EPSG:4326", always_xy=True)
        out = []
        for m in sorted(p["mows"], key=lambda m: m["fairway"]):
            for t in m["tracks"]:
                if "line" in t:
                    out += t["line"]
                else:
                    c = t["arc"]
                    for d in (c["from_deg"], c["from_deg"] + c["sweep_deg"]):
                        out.append([c["centre"][0] + c["radius"] * math.cos(math.radians(d)), c["centre"][1] + c["radius"] * math.sin(math.radians(d))])
        x, y = numpy.array(out).T
        return numpy.array(aeqd.transform(x, y))
    p, q = points(a), points(b)
    if p.shape != q.shape:
        return math.inf
    geod = pyproj.Geod(ellps="WGS84")
    return float(numpy.max(geod.inv(p[0], p[1], q[0], q[1])[2]))


def written_by_gdal(folder):
    """The sample in other formats; the roles in an attribute, or in names where there is none."""
    frame = geopandas.read_file(SAMPLE)
    frame = frame[[c for c in frame.columns if c in ("role", "name", "ref", "kind", "geometry")]]
    out = {}

    def save(name, data, **how):
        path = folder / name
        pyogrio.write_dataframe(data, path, **how)
        out[name] = path

    kinds = frame.geometry.geom_type
    groups = {"areas": frame[kinds.isin(["Polygon", "MultiPolygon"])], "lines": frame[kinds == "LineString"], "points": frame[kinds == "Point"]}
    groups = {k: v for k, v in groups.items() if len(v)}
    gpkg = folder / "sample.gpkg"
    for layer, data in groups.items():
        pyogrio.write_dataframe(data, gpkg, layer=layer, driver="GPKG")
    out["sample.gpkg"] = gpkg
    utm = frame.estimate_utm_crs()
    gpkg = folder / "sample-utm.gpkg"
    for layer, data in groups.items():
        pyogrio.write_dataframe(data.to_crs(utm), gpkg, layer=layer, driver="GPKG")
    out["sample-utm.gpkg"] = gpkg
    save("sample.kml", frame, driver="KML")
    for name, crs in (("shapes", None), ("shapes-utm", utm), ("shapes-web", "EPSG:3857")):
        place = folder / name
        place.mkdir()
        for layer, data in groups.items():
            pyogrio.write_dataframe(data if crs is None else data.to_crs(crs), place / f"{layer}.shp", driver="ESRI Shapefile")
        out[name] = place
    import zipfile
    with zipfile.ZipFile(folder / "shapes.zip", "w", zipfile.ZIP_DEFLATED) as z:
        for f in sorted((folder / "shapes-utm").iterdir()):
            z.write(f, f"shapes/{f.name}")
    out["shapes.zip"] = folder / "shapes.zip"
    with zipfile.ZipFile(folder / "sample.kmz", "w", zipfile.ZIP_DEFLATED) as z:
        z.write(out["sample.kml"], "doc.kml")
    out["sample.kmz"] = folder / "sample.kmz"
    # GPX knows names and lines alone: rings as closed tracks, roles in the names.
    rows = []
    for _, r in frame.iterrows():
        g = r.geometry
        label = f"{r.get('kind') if r.role == 'keep-out' and isinstance(r.get('kind'), str) else r.role} {r.get('ref') or r.get('name') or ''}".strip()
        for part in getattr(g, "geoms", [g]):
            if part.geom_type == "Polygon":
                if part.interiors:
                    continue
                rows.append((label, shapely.LineString(part.exterior.coords)))
            elif part.geom_type == "LineString":
                rows.append((label, part))
    tracks = geopandas.GeoDataFrame({"name": [r[0] for r in rows]}, geometry=[shapely.MultiLineString([r[1]]) for r in rows], crs=4326)
    # GDAL writes one layer to a GPX file; a folder takes both.
    place = folder / "gpx"
    place.mkdir()
    pyogrio.write_dataframe(tracks, place / "lines.gpx", layer="tracks", driver="GPX", geometry_type="MultiLineString")
    dots = groups["points"]
    dots = geopandas.GeoDataFrame({"name": [f"{r.role} {r.get('name') or ''}".strip() for _, r in dots.iterrows()]}, geometry=list(dots.geometry), crs=4326)
    pyogrio.write_dataframe(dots, place / "points.gpx", layer="waypoints", driver="GPX")
    out["gpx"] = place
    return out


def read_back(command, folder):
    whole = plan(command, SAMPLE, folder / "plan-sample")
    for name, path in written_by_gdal(folder).items():
        got = plan(command, path, folder / f"plan-{name}")
        off = farthest(whole, got)
        say(off < WITHIN_M, f"{name}: plan differs by {off:.1e} m")


def exported(command, folder):
    out = folder / "out"
    run(command, "plan", SAMPLE, "--out", out, "--only", "3,8", "--pattern", "stripes,loops")
    files = {}
    for kind in ("gpx", "kml", "geojson", "isoxml", "dxf", "geopackage"):
        said = json.loads(run(command, "export", out / "plan.json", "--as", kind, "--json"))
        files[kind] = (pathlib.Path(said["file"]), {l["name"]: l for l in said["layers"]})
    origin = json.loads((out / "plan.json").read_text())["origin"]
    plane = pyproj.Transformer.from_crs("EPSG:4326", f"+proj=aeqd +lon_0={origin['lon']!r} +lat_0={origin['lat']!r} +datum=WGS84", always_xy=True)

    def length(lonlat):
        x, y = plane.transform(*numpy.array(lonlat)[:, :2].T)
        return float(numpy.hypot(numpy.diff(x), numpy.diff(y)).sum())

    def same(what, layer, count, long_m):
        close = abs(long_m - layer["length_m"]) <= WITHIN_PART * max(long_m, 1)
        say(count == layer["count"] and close, f"{what}: {count} of {layer['count']}, {long_m:.4f} m of {layer['length_m']:.4f} m")

    def lines(path, **how):
        return [list(g.coords) for g in pyogrio.read_dataframe(path, **how).geometry]

    path, said = files["geojson"]
    got = lines(path)
    same("GeoJSON by GDAL, passes", said["passes"], len(got), sum(map(length, got)))

    path, said = files["geopackage"]
    names = {"fairways": "fairways", "keep_outs": "keep-outs", "passes": "passes", "ways": "ways"}
    layers = [l[0] for l in pyogrio.list_layers(path)]
    say(sorted(layers) == sorted(names), f"GeoPackage by GDAL, layers {layers}")
    for table in ("passes", "ways"):
        got = lines(path, layer=table)
        same(f"GeoPackage by GDAL, {table}", said[table], len(got), sum(map(length, got)))
    for table in ("fairways", "keep_outs"):
        n = len(pyogrio.read_dataframe(path, layer=table))
        say(n == said[names[table]]["count"], f"GeoPackage by GDAL, {table}: {n}")

    import gpxpy
    path, said = files["gpx"]
    g = gpxpy.parse(path.read_text())
    routes = [[(p.longitude, p.latitude) for p in r.points] for r in g.routes]
    same("GPX by gpxpy, routes", said["routes"], len(routes), sum(map(length, routes)))
    say(max(map(len, routes)) <= 250, f"GPX: longest route {max(map(len, routes))} points")
    tracks = [[(p.longitude, p.latitude) for s in t.segments for p in s.points] for t in g.tracks]
    same("GPX by gpxpy, tracks", said["tracks"], len(tracks), sum(map(length, tracks)))
    times = [p.time for t in g.tracks for s in t.segments for p in s.points]
    say(None not in times and times == sorted(times), "GPX by gpxpy: times in order")
    n = len(pyogrio.read_dataframe(path, layer="routes"))
    say(n == len(routes), f"GPX by GDAL, routes: {n}")

    import fastkml
    path, said = files["kml"]
    k = fastkml.KML.from_string(path.read_bytes().decode().split("?>", 1)[1])
    found = {"passes": [], "ways": [], "spans": 0}

    def walk(node, inside):
        for f in node.features:
            if hasattr(f, "features"):
                walk(f, f.name)
            elif inside in ("passes", "ways"):
                found[inside].append([c[:2] for c in f.geometry.coords])
                found["spans"] += f.times is not None
    walk(k, "")
    for layer in ("passes", "ways"):
        same(f"KML by fastkml, {layer}", said[layer], len(found[layer]), sum(map(length, found[layer])))
    say(found["spans"] == len(found["passes"]) + len(found["ways"]), f"KML by fastkml: {found['spans']} time spans")

    import ezdxf
    path, said = files["dxf"]
    doc = ezdxf.readfile(path)
    audit = doc.audit()
    say(doc.dxfversion == "AC1009" and not audit.errors, f"DXF by ezdxf: {doc.dxfversion}, {len(audit.errors)} errors")
    for layer, word in (("passes", "_PASSES_M"), ("ways", "_WAYS_M")):
        polylines = [e for e in doc.modelspace().query("POLYLINE") if e.dxf.layer.endswith(word)]
        long_m = 0.0
        for e in polylines:
            v = list(e.vertices)
            for a, b in zip(v, v[1:]):
                chord = (b.dxf.location - a.dxf.location).magnitude
                bulge = a.dxf.get("bulge", 0.0)
                half = 2 * math.atan(bulge)
                long_m += chord if bulge == 0 else chord * half / math.sin(half)
        same(f"DXF by ezdxf, {layer}", said[layer], len(polylines), long_m)

    path, said = files["isoxml"]
    task(path, said, length, same)


def task(path, said, length, same):
    """ISO 11783-10 by isoxml: parsed by its strict parser, then each limit of its classes asked."""
    from isoxml.util.isoxml_io import isoxml_from_text
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        root = isoxml_from_text(path.read_text())
    wrong = []

    def limits(node, where):
        for name, f in node.__dataclass_fields__.items():
            m, v = f.metadata, getattr(node, name)
            here = f"{where}.{name}"
            if m.get("type") == "Attribute":
                if v is None:
                    if m.get("required"):
                        wrong.append(f"{here} missing")
                    continue
                raw = v.value if isinstance(v, Enum) else v
                text = str(raw)
                if "max_length" in m and len(text) > m["max_length"] or "min_length" in m and len(text) < m["min_length"]:
                    wrong.append(f"{here} length {text}")
                if "pattern" in m and not re.fullmatch(m["pattern"], text):
                    wrong.append(f"{here} pattern {text}")
                for bound, bad in (("min_inclusive", lambda a, b: a < b), ("max_inclusive", lambda a, b: a > b)):
                    if bound in m and isinstance(raw, (int, Decimal)) and bad(raw, m[bound]):
                        wrong.append(f"{here} {text}")
                if "fraction_digits" in m and isinstance(raw, Decimal) and -raw.as_tuple().exponent > m["fraction_digits"]:
                    wrong.append(f"{here} digits {text}")
            elif isinstance(v, list):
                if len(v) < m.get("min_occurs", 0) or len(v) > m.get("max_occurs", 1e9):
                    wrong.append(f"{here} occurs {len(v)}")
                for c in v:
                    if hasattr(c, "__dataclass_fields__"):
                        limits(c, here)
    limits(root, "root")
    say(not wrong, f"ISO 11783-10 by isoxml: {len(wrong)} values outside the standard's limits {wrong[:3]}")
    kinds = {"1": [], "3": []}
    for p in root.partfields:
        for g in p.guidance_groups:
            for n in g.guidance_patterns:
                line = [(float(q.east), float(q.north)) for q in n.line_strings[0].points]
                kinds[n.type.value].append(line)
    say(len(root.partfields) == said["partfields"]["count"], f"ISO 11783-10 by isoxml: {len(root.partfields)} partfields")
    same("ISO 11783-10 by isoxml, AB lines", said["AB lines"], len(kinds["1"]), sum(map(length, kinds["1"])))
    same("ISO 11783-10 by isoxml, curves", said["curves"], len(kinds["3"]), sum(map(length, kinds["3"])))
    say(all(len(l) == 2 for l in kinds["1"]), "ISO 11783-10: AB lines have two points")


def main():
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("command", type=pathlib.Path)
    ask.add_argument("--only", choices=["in", "out"])
    options = ask.parse_args()
    command = options.command.resolve()
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        if options.only != "in":
            exported(command, folder)
        if options.only != "out":
            read_back(command, folder)
    if faults:
        sys.exit(f"{len(faults)} faults")


main()
