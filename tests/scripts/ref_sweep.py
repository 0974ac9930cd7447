"""Areas of the drives in tests/stored/drives, swept with shapely (GEOS)."""

import json

import shapely

import draw_drives
import sweep_again

STORED = "sweep.json"


def derive():
    cases = []
    for path in sorted(draw_drives.FOLDER.glob("*.json")):
        plan = json.loads(path.read_text())
        cases += [sweep_again.sweep(m, plan["mower"]) for m in plan["mows"]]
    return {"source": f"shapely {shapely.__version__} (GEOS {shapely.geos_version_string})", "cases": cases}
