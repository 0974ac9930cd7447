"""Reads a calendar that crossgrain wrote with the icalendar package, which knows RFC 5545 by itself.

The calendar, tests/stored/calendar.ics, is written by the test `calendar` from a programme made
by hand: visits on both sides of two changes to and from daylight-saving time, on a leap day and
over the new year, names in several scripts, a closed span, a visit that fell away.

usage: ref_calendar.py [CALENDAR.ics PROGRAMME.json]
With two files, checks that a calendar says the same as the programme it belongs to.
"""

import datetime
import json
import pathlib
import sys

import icalendar

STORED = "calendar.json"
ICS = pathlib.Path(__file__).parent.parent / "stored" / "calendar.ics"


def events(text):
    calendar = icalendar.Calendar.from_ical(text)
    found = []
    for e in calendar.walk("VEVENT"):
        start, end = e.decoded("DTSTART"), e.decoded("DTEND")
        timed = isinstance(start, datetime.datetime)
        found.append({
            "uid": str(e["UID"]),
            "status": str(e.get("STATUS", "")),
            "start": start.isoformat(),
            "end": end.isoformat(),
            # A floating time has no zone; the day is the same wherever it is read.
            "floating": timed and start.tzinfo is None,
            "whole_day": not timed,
            "summary": str(e["SUMMARY"]),
            "description": str(e.get("DESCRIPTION", "")),
            "sequence": int(e["SEQUENCE"]),
            "stamp": e.decoded("DTSTAMP").isoformat(),
            "errors": [str(x) for x in e.errors],
        })
    return found


def derive():
    raw = ICS.read_bytes()
    lines = raw.split(b"\r\n")
    return {
        "source": f"icalendar {icalendar.__version__}",
        "longest_line_octets": max(len(l) for l in lines),
        "bare_line_ends": raw.replace(b"\r\n", b"").count(b"\n") + raw.replace(b"\r\n", b"").count(b"\r"),
        "events": events(raw),
    }


def same_as_programme(ics, programme):
    """Every visit of the programme, at its date and time, and no other; one UID each."""
    found = [e for e in events(pathlib.Path(ics).read_bytes())]
    plan = json.loads(pathlib.Path(programme).read_text())
    taking_place = [e for e in found if e["status"] == "CONFIRMED"]
    uids = [e["uid"] for e in found]
    assert len(set(uids)) == len(uids), "a UID stands twice"
    assert not any(e["errors"] for e in found), "the parser found errors"
    theirs = sorted((e["start"][:16], e["summary"].split(":")[0]) for e in taking_place)
    ours = sorted((f'{v["date"]}T{v["start"]}', f'Fairway {v["fairway"]}') for v in plan["visits"])
    assert theirs == ours, [x for x in zip(theirs, ours) if x[0] != x[1]][:5]
    for e in taking_place:
        assert e["end"] > e["start"], e
    gone = [e for e in found if e["status"] == "CANCELLED"]
    assert len(gone) == len(plan["cancelled"]), "cancelled visits differ"
    print(f"{len(taking_place)} visits, {len(gone)} cancelled, {len(found)} events: as in the programme")


def same_days(ics, programme):
    """One event for each machine's day that has visits, and no other; the names of the machines."""
    found = events(pathlib.Path(ics).read_bytes())
    plan = json.loads(pathlib.Path(programme).read_text())
    assert not any(e["errors"] for e in found), "the parser found errors"
    uids = [e["uid"] for e in found]
    assert len(set(uids)) == len(uids), "a UID stands twice"
    days = {}
    for v in plan["visits"]:
        days.setdefault((v["date"], v["mower"]), []).append(v)
    theirs = sorted((e["start"][:16], e["summary"]) for e in found if e["status"] == "CONFIRMED")
    names = {m["mower"]: m["name"] for m in plan["machines"]}
    ours = sorted(
        (f'{date}T{min(v["start"] for v in visits)}', f'Mower {names[mower]}: fairways ' + ", ".join(v["fairway"] for v in visits))
        for (date, mower), visits in days.items()
    )
    assert theirs == ours, [x for x in zip(theirs, ours) if x[0] != x[1]][:5]
    print(f"{len(theirs)} machine days of {len(plan['visits'])} visits: as in the programme")
    return {names[mower] for _, mower in days}


def goes_on(before, after):
    """A calendar that continues another: each event of the first stands in the second, one issue on."""
    first, second = (events(pathlib.Path(f).read_bytes()) for f in (before, after))
    missing = {e["uid"] for e in first} - {e["uid"] for e in second}
    assert not missing, f"events without an update: {sorted(missing)[:5]}"
    numbers = {e["sequence"] for e in first}, {e["sequence"] for e in second}
    assert numbers[1] == {max(numbers[0]) + 1}, numbers
    print(f"{len(first)} events updated, SEQUENCE {max(numbers[0])} to {max(numbers[1])}")


if __name__ == "__main__":
    if len(sys.argv) == 3:
        same_as_programme(sys.argv[1], sys.argv[2])
    else:
        print(json.dumps(derive(), indent=1))
