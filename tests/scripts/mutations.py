#!/usr/bin/env python3
"""Breaks one formula at a time, on purpose, and looks whether an outside check notices.

    python mutations.py FOLDER              all of them, in a scratch clone of this one in FOLDER
    python mutations.py FOLDER lay order    only these groups

Each change is looked for by its text in the production sources of a crate, so that it follows a move
to another file; where the text is gone or stands twice, that is a fault of this list. A mutation is
caught when the check that belongs to it fails, and the same check passes without it.
"""

import os
import pathlib
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
OUTSIDE = ["cargo", "test", "--locked", "-q", "-p", "crossgrain-tests", "--test", "outside", "every_row_holds"]
LINES = ["cargo", "test", "--locked", "-q", "-p", "crossgrain-tests", "--test", "line_rules"]
# Group, crate, text, what it becomes, the check.
MUTATIONS = [
    ("capacity", "metrics", "cutting_width_m * speed_m_s", "cutting_width_m * speed_m_s * 1.01", OUTSIDE),
    ("lay", "metrics", "let values = [1.0, c, s, c * c - s * s, 2.0 * s * c];", "let values = [1.0, c, s, c * c - s * s, 1.9 * s * c];", OUTSIDE),
    ("clip", "metrics", "speed_m_s * 60.0 / (reel.rpm * f64::from(reel.blades))", "speed_m_s * 60.0 / (reel.rpm * (f64::from(reel.blades) + 1.0))", OUTSIDE),
    ("turn", "core", "best = best.min(radius_m * (a + b) + l);", "best = best.min(radius_m * (a + b) + 0.99 * l);", OUTSIDE),
    ("lattice", "core", "inner_m: mid - bar.left_m,", "inner_m: mid - 0.9 * bar.left_m,", OUTSIDE),
    ("area", "metrics", "self.times_cut_m2.first().copied().unwrap_or(0.0)", "0.99 * self.times_cut_m2.first().copied().unwrap_or(0.0)", OUTSIDE),
    ("overlap", "metrics", ".skip(2)", ".skip(3)", OUTSIDE),
    ("minutes", "metrics", "(mowing_s + idle_s + 2.0 * mow.passes().count() as f64 * mower.lift_lower_s) / 60.0",
     "(mowing_s + idle_s + 1.0 * mow.passes().count() as f64 * mower.lift_lower_s) / 60.0", OUTSIDE),
    ("geodesy", "core", "x: s * sin,\n            y: s * cos,", "x: s * sin * 1.000001,\n            y: s * cos,", OUTSIDE),
    ("heights", "season", "ThirdRule::ThirdOfPlant => 1.5,", "ThirdRule::ThirdOfPlant => 1.45,", OUTSIDE),
    ("calendar", "formats", "v.minutes.ceil()", "v.minutes.floor()", OUTSIDE),
    ("order", "core", "const MAX_EVERY: usize = 9;", "const MAX_EVERY: usize = 1;", LINES),
]


def where(folder, crate, text):
    found = []
    for file in sorted((folder / "crates" / crate / "src").rglob("*.rs")):
        production = file.read_text().split("#[cfg(test)]\nmod tests {")[0]
        found += [file] * production.count(text)
    return found


def main():
    folder = pathlib.Path(sys.argv[1]).resolve()
    asked = set(sys.argv[2:])
    clone = folder / "clone"
    if not clone.exists():
        subprocess.run(["git", "clone", "-q", ROOT, clone], check=True)
    env = {**os.environ, "CARGO_TARGET_DIR": str(folder / "target"), "RUST_BACKTRACE": "0"}
    check = lambda how: subprocess.run(how, cwd=clone, env=env, capture_output=True, text=True)
    whole = check(OUTSIDE)
    if whole.returncode:
        sys.exit("the checks fail before anything is changed:\n" + whole.stdout[-800:] + whole.stderr[-800:])
    missed = 0
    for group, crate, text, change, how in MUTATIONS:
        if asked and group not in asked:
            continue
        files = where(clone, crate, text)
        if len(files) != 1:
            print(f"{group}: its text stands {len(files)} times in crates/{crate}: {text!r}", flush=True)
            missed += 1
            continue
        before = files[0].read_text()
        files[0].write_text(before.replace(text, change, 1))
        try:
            done = check(how)
        finally:
            files[0].write_text(before)
        said = [l for l in (done.stdout + done.stderr).splitlines() if "theirs" in l or " lines, radius " in l]
        broken = "error: could not compile" in done.stderr
        caught = done.returncode != 0 and said and not broken
        missed += not caught
        rows = len(said)
        verdict = f"caught by {rows} row(s), first: {said[0][:150]}" if caught else "does not compile" if broken else "NOT CAUGHT"
        print(f"{group} ({files[0].relative_to(clone)}): {verdict}", flush=True)
    sys.exit(bool(missed))


if __name__ == "__main__":
    main()
