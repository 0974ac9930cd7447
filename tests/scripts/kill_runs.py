#!/usr/bin/env python3
"""Kills the command at random moments while it writes, and looks at what is left.

    python kill_runs.py target/release/crossgrain samples/quillback.geojson [--kills 100] [--seed 1]

Two plans of different decks take turns in one folder. After every kill each file must be the
whole file of one plan or of the other, byte for byte: the old one or the new one, never a part.
Temporary files may stay behind; they are counted. Standard library only.
"""

import argparse
import os
import pathlib
import random
import shutil
import subprocess
import sys
import tempfile
import time

DECKS = ("100in", "84in")


def command(binary, course, deck, out):
    return [binary, "plan", course, "--only", "2,3", "--deck", deck, "--out", str(out)]


def files(folder):
    return {p.name: p.read_bytes() for p in folder.iterdir() if not p.name.endswith(".tmp")}


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("binary")
    ap.add_argument("course")
    ap.add_argument("--kills", type=int, default=100)
    ap.add_argument("--seed", type=int, default=1)
    o = ap.parse_args()
    rng = random.Random(o.seed)
    work = pathlib.Path(tempfile.mkdtemp())
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}

    whole, seconds = {}, 0.0
    for deck in DECKS:
        start = time.monotonic()
        code = subprocess.run(command(o.binary, o.course, deck, work / deck), **quiet).returncode
        if code > 1:
            sys.exit(f"the command failed with {code} before anything was killed")
        seconds = max(seconds, time.monotonic() - start)
        whole[deck] = files(work / deck)

    out = work / "out"
    shutil.copytree(work / DECKS[0], out)
    killed = finished = renamed = bad = left = 0
    i = 0
    while killed < o.kills and i < 20 * o.kills:
        deck = DECKS[(i + 1) % 2]
        i += 1
        before = files(out)
        p = subprocess.Popen(command(o.binary, o.course, deck, out), **quiet)
        if rng.random() < 0.3:
            time.sleep(rng.uniform(0.0, 1.0) * seconds)
        else:
            # Most kills where it counts: while the files are written, after a few of them.
            stamps = {n: (out / n).stat().st_mtime_ns for n in before}
            wait_for = rng.randrange(len(before))
            while p.poll() is None:
                new = sum((out / n).stat().st_mtime_ns != t for n, t in stamps.items())
                if new > wait_for or (new == wait_for and any(n.endswith(".tmp") for n in os.listdir(out))):
                    break
                time.sleep(0.0002)
            time.sleep(rng.uniform(0.0, 0.01))
        p.kill()
        if p.wait() == -9:
            killed += 1
        else:
            finished += 1
        left += sum(1 for t in out.iterdir() if t.name.endswith(".tmp"))
        for t in out.glob(".*.tmp"):
            t.unlink()
        after = files(out)
        changed = sum(after[n] != before[n] for n in after)
        renamed += 0 < changed < len(after)
        for name, content in after.items():
            if not any(content == w.get(name) for w in whole.values()):
                bad += 1
                print(f"run {i}: {name} is neither the old nor the new file ({len(content)} bytes)")
        if set(after) != set(before):
            bad += 1
            print(f"run {i}: files came or went: {sorted(set(after) ^ set(before))}")
    shutil.rmtree(work)
    print(
        f"{killed} kills ({finished} runs were over first): {bad} half-written files, "
        f"{renamed} runs cut between two files, {left} temporary files left behind"
    )
    return 1 if bad or killed < o.kills else 0


if __name__ == "__main__":
    sys.exit(main())
