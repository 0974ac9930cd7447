"""The drives in tests/stored/drives: areas with shapely (GEOS), lay from a raster, minutes from the tracks."""

import json

import numpy
import shapely

import draw_drives
import sweep_again

STORED = "sweep.json"


def derive():
    cases = []
    for path in sorted(draw_drives.FOLDER.glob("*.json")):
        plan = json.loads(path.read_text())
        cases += [sweep_again.sweep(m, plan["mower"], fine=32) for m in plan["mows"]]
    return {
        "source": f"shapely {shapely.__version__} (GEOS {shapely.geos_version_string})",
        "raster": f"raster.py with NumPy {numpy.__version__}",
        "times": f"sweep_again.py with NumPy {numpy.__version__}",
        "cases": cases,
    }
