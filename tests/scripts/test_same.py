"""The comparers of the reference scripts must be able to fail. `python -m unittest test_same`"""

import copy
import json
import math
import os
import pathlib
import subprocess
import sys
import tempfile
import unittest

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

import same  # noqa: E402

STORED = HERE.parent / "stored"
NAN, INF = math.nan, math.inf


class Differences(unittest.TestCase):
    def same(self, a, b):
        self.assertEqual(same.differences(a, b), [])

    def differ(self, a, b):
        self.assertNotEqual(same.differences(a, b), [])
        self.assertNotEqual(same.differences(b, a), [])

    def test_what_is_the_same(self):
        self.same({"a": [1, 2.5, "x", None, True]}, {"a": [1, 2.5, "x", None, True]})
        self.same(1.0, 1.0 + 1e-10)
        self.same(2, 2.0)
        self.same(1e12, 1e12 * (1 + 1e-10))

    def test_numbers_that_are_none(self):
        for a, b in [(1.0, NAN), (0.0, NAN), (NAN, NAN), (INF, INF), (INF, 1.0), (-INF, INF), (1, NAN), (2, INF)]:
            self.differ(a, b)

    def test_every_place_is_looked_at(self):
        whole = {"rows": [{"cuts": [1.0, [2.0, 3.0]], "n": 4, "name": "a", "ok": True}, {"cuts": []}]}
        self.same(whole, copy.deepcopy(whole))
        def changed(change):
            other = copy.deepcopy(whole)
            change(other["rows"])
            return other
        for change in [
            lambda r: r[0]["cuts"].__setitem__(0, 1.1),
            lambda r: r[0]["cuts"][1].__setitem__(1, 3.0001),
            lambda r: r[0]["cuts"][1].append(0.0),
            lambda r: r[0].__setitem__("n", 5),
            lambda r: r[0].__setitem__("n", 4.5),
            lambda r: r[0].__setitem__("name", "b"),
            lambda r: r[0].__setitem__("ok", 1),
            lambda r: r[0].__setitem__("name", None),
            lambda r: r[1].__setitem__("cuts", None),
            lambda r: r[1].pop("cuts"),
            lambda r: r[1].__setitem__("more", 1),
            lambda r: r.pop(),
        ]:
            self.differ(whole, changed(change))


class Largest(unittest.TestCase):
    def test_nothing_hides_behind_a_number(self):
        self.assertEqual(same.largest([0.0, 1e-7]), 1e-7)
        for values in [[0.0, NAN], [NAN, 0.0], [INF], [], [0.0, None]]:
            self.assertEqual(same.largest(values), INF)


class RandomMows(unittest.TestCase):
    ROW = {"seed": 3, "kind": "bar", "ground_m2": 100.0, "uncut_m2": 2.0, "times_cut_m2": [2.0, 90.0, 8.0]}

    def test_lists_and_numbers_that_are_none_count(self):
        import random_mows

        drift = lambda **new: random_mows.drift([{**self.ROW, **new}], [self.ROW])
        self.assertEqual(drift(), 0.0)
        for new in [{"uncut_m2": 3.0}, {"uncut_m2": NAN}, {"times_cut_m2": [2.0, 91.0, 8.0]}, {"times_cut_m2": [2.0, 90.0]},
                    {"times_cut_m2": [2.0, NAN, 8.0]}, {"seed": 4}, {"kind": "gang"}, {"more": 1.0}]:
            self.assertGreater(drift(**new), 1e-3, new)
        self.assertEqual(random_mows.drift([self.ROW], []), INF)


class Sweep(unittest.TestCase):
    """`sweep_again.differences`, which every plan of the gate goes through."""

    TOLD = {
        "fairway_m2": 100.0, "uncut_m2": 1.0, "missed_m2": 0.0, "trim_m2": 1.0, "overlap_m2": 3.0, "overrun_m2": 0.0,
        "keepout_cut_m2": 0.0, "times_cut_m2": [1.0, 96.0, 3.0], "mowing_m": 40.0, "transport_m": 9.0, "passes": 4,
        "steps": 2, "mean_cuts": 1.02, "minutes": 2.0, "distance_floor_m": 40.0, "distance_ratio": 1.0,
        "field_efficiency": 0.8, "lay_r1": 0.5, "lay_r2": 0.9,
    }

    def test_each_figure_counts(self):
        import sweep_again

        def worst(told):
            return same.largest(sweep_again.differences(self.TOLD, told).values())

        self.assertEqual(worst(copy.deepcopy(self.TOLD)), 0.0)
        for key, value in self.TOLD.items():
            for wrong in (NAN, 1.5 * value + 1.0) if not isinstance(value, list) else ([1.0, 95.0, 3.0], [1.0, 96.0], [1.0, NAN, 3.0]):
                told = {**copy.deepcopy(self.TOLD), key: wrong}
                self.assertGreater(worst(told), 1e-3, f"{key}: {wrong}")
            told = copy.deepcopy(self.TOLD)
            del told[key]
            self.assertEqual(worst(told), INF, f"{key} is missing")


class StoredFiles(unittest.TestCase):
    """Scripts that check what is stored fail when what is stored was changed."""

    def checked(self, script, *options, given=None, stored):
        return subprocess.run(
            [sys.executable, HERE / script, "--check", "--stored", stored, *options],
            input=given, text=True, capture_output=True,
        ).returncode

    def changed(self, name, change):
        value = json.loads((STORED / name).read_text())
        change(value)
        file = pathlib.Path(tempfile.mkdtemp()) / name
        file.write_text(json.dumps(value))
        return file

    def test_clean_diameters(self):
        self.assertEqual(self.checked("clean_diameters.py", "--count", "2", stored=STORED / "clean_diameters.json"), 0)
        for change in [lambda v: v["layouts"][1].__setitem__("cw", 3.21), lambda v: v["layouts"][0].__setitem__("ccw", NAN),
                       lambda v: v["layouts"].clear()]:
            self.assertNotEqual(self.checked("clean_diameters.py", "--count", "2", stored=self.changed("clean_diameters.json", change)), 0)

    def test_lattice_strips(self):
        stored = json.loads((STORED / "lattice_strips.json").read_text())
        # One case only, swept again: the whole takes minutes.
        one = {"cases": stored["cases"][:1]}
        given = json.dumps({"cases": [{k: v for k, v in c.items() if k != "swept"} for c in one["cases"]]})
        self.assertEqual(self.checked("lattice_strips.py", "--first", "1", given=given, stored=STORED / "lattice_strips.json"), 0)
        for change in [
            lambda v: v["cases"][0].__setitem__("advance_m", 9.9),
            lambda v: v["cases"][0]["swept"][1].__setitem__("uncut_m2", 0.3),
            lambda v: v["cases"][0]["swept"][1].__setitem__("strips", 7),
            lambda v: v["cases"][0]["swept"].pop(),
        ]:
            file = self.changed("lattice_strips.json", change)
            self.assertNotEqual(self.checked("lattice_strips.py", "--first", "1", given=given, stored=file), 0)


class Environment(unittest.TestCase):
    def test_a_half_made_environment_is_not_taken_for_a_whole_one(self):
        folder = pathlib.Path(tempfile.mkdtemp()) / "venv"
        (folder / "bin").mkdir(parents=True)
        (folder / "bin" / "python").write_text("#!/bin/sh\nexit 0\n")
        (folder / "bin" / "python").chmod(0o755)
        run = lambda: subprocess.run([HERE / "check_venv.sh", folder], env={**os.environ, "CROSSGRAIN_NO_NET": "1"},
                                     capture_output=True, text=True)
        # An interpreter, but no mark of what was installed: it would have to be made anew.
        self.assertEqual(run().returncode, 3)
        self.assertIn("NO_NET", run().stdout.splitlines()[-1])
        (folder / "made-from.txt").write_text((HERE / "requirements.txt").read_text())
        self.assertEqual(run().returncode, 0)
        (folder / "made-from.txt").write_text("numpy==1.0\n")
        self.assertEqual(run().returncode, 3)


if __name__ == "__main__":
    unittest.main()
