#!/usr/bin/env python3
"""Derives every stored reference figure again, from the libraries in requirements.txt.

    python tests/scripts/rederive.py             writes tests/stored/*.json
    python tests/scripts/rederive.py --check     fails when a stored figure has drifted
    python tests/scripts/rederive.py --check --command target/release/crossgrain
                                                 also plans the sample course and sweeps the
                                                 plans again

Whole numbers and text must be the same; other numbers may differ by one part in 1e9, which
allows for another processor's rounding.
"""

import argparse
import importlib
import json
import pathlib
import re
import subprocess
import sys
import tempfile
from importlib.metadata import version

from same import differences

HERE = pathlib.Path(__file__).resolve().parent
STORED = HERE.parent / "stored"
ROOT = HERE.parents[1]
REFERENCES = ["ref_directions", "ref_geodesy", "ref_turns", "ref_areas", "ref_circular", "ref_geojson", "ref_sweep", "ref_calendar", "ref_schedules", "ref_systems"]


def check_versions():
    for line in (HERE / "requirements.txt").read_text().splitlines():
        if "==" in line:
            name, want = line.strip().split("==")
            if version(name) != want:
                sys.exit(f"{name} is {version(name)}, requirements.txt wants {want}")


def stored_files(check):
    faults = []
    drives = importlib.import_module("draw_drives")
    drives.FOLDER.mkdir(parents=True, exist_ok=True)
    for name, plan in drives.drives().items():
        path = drives.FOLDER / f"{name}.json"
        if check:
            faults += differences(json.loads(drives.text(plan)), json.loads(path.read_text()), where=path.name)
        else:
            path.write_text(drives.text(plan))
    for name in REFERENCES:
        module = importlib.import_module(name)
        found = module.derive()
        path = STORED / module.STORED
        if check:
            bad = differences(found, json.loads(path.read_text()), where=path.name)
            print(f"{path.name}: {'drifted' if bad else 'as stored'}")
            faults += bad
        else:
            path.write_text(json.dumps(found, indent=1) + "\n")
            print(f"{path.name} written")
    return faults


def turn_lengths():
    """The stored list of turn lengths, against the same library again."""
    done = subprocess.run([sys.executable, HERE / "turn_lengths.py"], capture_output=True, text=True, check=True)
    numbers = lambda text: [[float(v) for v in l.split(",")] for l in text.splitlines() if l[:1].isdigit()]
    name = "turns-forward.csv"
    bad = differences(numbers(done.stdout), numbers((STORED / name).read_text()), where=name)
    if not numbers(done.stdout):
        bad = [f"{name}: no rows"]
    print(f"{name}: {'drifted' if bad else 'as stored'}")
    return bad


def by_brute_force():
    """Part of what is stored from brute force, again: all of it takes long."""
    def said_by(example):
        run = ["cargo", "run", "--locked", "-q", "-p", "crossgrain-tests", "--example", example]
        return subprocess.run(run, cwd=ROOT, check=True, capture_output=True, text=True).stdout

    runs = [
        (["clean_diameters.py", "--check", "--count", "100"], None),
        (["lattice_strips.py", "--check"], said_by("lattice_gap_cases")),
        (["loop_lattice.py", "-", "--check", "--every", "6"], said_by("lattice_answers")),
        (["random_mows.py", "--check", "--count", "40"], None),
    ]
    faults = []
    for options, given in runs:
        done = subprocess.run([sys.executable, HERE / options[0], *options[1:]], input=given, text=True, stderr=subprocess.DEVNULL)
        said = " ".join(options)
        print(f"{said}: {'differs' if done.returncode else 'as stored'}", flush=True)
        if done.returncode:
            faults.append(f"{said}: see above")
    return faults


def promise(name):
    """A bound that the project promises, as core has it."""
    source = (ROOT / "crates" / "core" / "src" / "promises.rs").read_text()
    return re.search(rf"pub const {name}: f64 = ([0-9.e-]+);", source).group(1)


def live_plans(command):
    """Plans the sample course and sweeps what comes out. The limits are the project's own promises."""
    promised = ["--missed", promise("MISSED_PART_BAR"), "--overrun", "0.003", "--keepout", promise("KEEP_OUT_CUT_M2")]
    deck = ["--deck", "100in"]
    runs = [
        ([*deck, "--heading", "fewest"], promised),
        ([*deck, "--heading", "along"], promised),
        ([*deck, "--heading", "45"], promised),
        # Loops with real units: the figures must agree and no keep-out may be cut.
        (["--pattern", "loops", "--only", "3", "--mower", ROOT / "samples" / "light-five.json"], promised[4:]),
    ]
    faults = []
    with tempfile.TemporaryDirectory() as folder:
        for i, (options, limits) in enumerate(runs):
            said = " ".join(str(o) for o in options)
            out = pathlib.Path(folder) / str(i)
            plan = subprocess.run(
                [command, "plan", ROOT / "samples" / "quillback.geojson", *options, "--out", out], stdout=subprocess.DEVNULL
            )
            # 1 asks for eyes on the plan; the file is there all the same.
            if plan.returncode > 1:
                faults.append(f"plan {said}: exit code {plan.returncode}")
                continue
            print(f"plan {said}")
            if subprocess.run([sys.executable, HERE / "sweep_again.py", out / "plan.json", *limits]).returncode:
                faults.append(f"plan {said}: see above")
    with tempfile.TemporaryDirectory() as folder:
        # The calendar of the sample season, read by another parser, says what the programme says.
        out = pathlib.Path(folder) / "season"
        subprocess.run(
            [command, "season", ROOT / "samples" / "quillback.geojson", "--rules", ROOT / "samples" / "season.json",
             "--no-pages", "--calendar", "visits", "--out", out],
            stdout=subprocess.DEVNULL,
        )
        calendar = importlib.import_module("ref_calendar")
        calendar.same_as_programme(out / "calendar.ics", out / "programme.json")
        # Again by machine and day; then continued with a wet day: the same names, the next issue.
        rules = json.loads((ROOT / "samples" / "season.json").read_text())
        rules["weather"]["wet_days"] += ["2027-08-11"]
        wet = pathlib.Path(folder) / "wet.json"
        wet.write_text(json.dumps(rules))
        course = ROOT / "samples" / "quillback.geojson"
        days, again = pathlib.Path(folder) / "days", pathlib.Path(folder) / "again"
        for own, more, into in [(ROOT / "samples" / "season.json", [], days), (wet, ["--continue", days / "programme.json"], again)]:
            subprocess.run([command, "season", course, "--rules", own, "--no-pages", *more, "--out", into], stdout=subprocess.DEVNULL)
            calendar.same_days(into / "calendar.ics", into / "programme.json")
        calendar.goes_on(days / "calendar.ics", again / "calendar.ics")
        # Two machines of their own names and widths: a day of each is an event.
        rules = {"season": {"from": "2027-04-05", "to": "2027-05-30"},
                 "crew": {"machines": [{"name": "wide", "deck": "110in"}, {"name": "narrow", "deck": "84in"}]}}
        own, two = pathlib.Path(folder) / "two.json", pathlib.Path(folder) / "two"
        own.write_text(json.dumps(rules))
        subprocess.run([command, "season", course, "--rules", own, "--no-pages", "--out", two], stdout=subprocess.DEVNULL)
        names = calendar.same_days(two / "calendar.ics", two / "programme.json")
        assert names == {"wide", "narrow"}, names
    return faults


def main():
    ap = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ap.add_argument("--check", action="store_true")
    ap.add_argument("--command", help="the built command, to plan with")
    args = ap.parse_args()
    sys.path.insert(0, str(HERE))
    check_versions()
    STORED.mkdir(exist_ok=True)
    if args.check:
        subprocess.run([sys.executable, HERE / "draw_course.py", "--check"], check=True)
    faults = stored_files(args.check)
    if args.check:
        subprocess.run([sys.executable, HERE / "season_bound.py", "--check"], check=True)
        faults += turn_lengths()
        faults += by_brute_force()
    if args.command:
        faults += live_plans(args.command)
    for f in faults[:40]:
        print(f, file=sys.stderr)
    if faults:
        sys.exit(f"{len(faults)} differences")


if __name__ == "__main__":
    main()
