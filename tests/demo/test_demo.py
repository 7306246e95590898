"""The demo's files are what their makers make, are sound, and have what their READMEs promise."""

import csv
import io
import json
import tomllib
from collections import Counter
from collections.abc import Callable, Sequence
from datetime import timedelta
from functools import cache
from itertools import pairwise
from typing import Any

import pytest

from matbook.book.chain import chains
from matbook.book.entry import Entry, read_entry
from matbook.book.forms import opened
from matbook.book.kinds import kind_named, unusual
from matbook.demo import JOBS, files
from matbook.engine.units import parse
from matbook.errors import NotFound
from tools import make_demo

DAY, NEXT = "harrow/2026-06-16/a/day", "harrow/2026-06-17/a/day"
jobs = pytest.mark.parametrize("job", JOBS)


@cache
def entries(job: str) -> tuple[Entry, ...]:
    lines = files(job)["entries.jsonl"].read_text("utf-8").splitlines()
    pairs = [json.loads(line) for line in lines]
    return tuple(read_entry(pair["text"], pair["hash"]) for pair in pairs)


@cache
def plan(job: str) -> dict[str, Any]:
    return tomllib.loads(files(job)["plan.toml"].read_text("utf-8"))


@cache
def rows(job: str) -> tuple[dict[str, str], ...]:
    (name,) = (name for name in files(job) if name.endswith(".csv"))
    return tuple(csv.DictReader(io.StringIO(files(job)[name].read_text("utf-8"))))


def of(job: str, kind: str, **fields: str) -> list[Entry]:
    """Entries of a kind whose bodies have these fields."""
    return [
        entry
        for entry in entries(job)
        if entry.kind == kind and fields.items() <= dict(entry.body).items()
    ]


def one(job: str, kind: str, **fields: str) -> Entry:
    (found,) = of(job, kind, **fields)
    return found


def calls_told(job: str, code: str) -> list[Entry]:
    """Notices that answer a call of this code."""
    return [e for e in of(job, "notice") if str(e.body.get("call", "")).startswith(f"{code}:")]


def answers(job: str, notice: Entry) -> list[Entry]:
    return of(job, "reply", notice=notice.id)


# The files


def test_making_them_again_gives_the_same_bytes() -> None:
    made = make_demo.made()
    there = {f"{job}/{name}" for job in JOBS for name in files(job)}
    assert there - set(made) == {
        f"{job}/{own}" for job in JOBS for own in ("README.md", "plan.toml")
    }
    for name, raw in made.items():
        job, _, file = name.partition("/")
        assert files(job)[file].read_bytes() == raw, f"{name}: run python -m tools.make_demo"


@jobs
def test_every_file_is_there_and_says_that_it_is_invented(job: str) -> None:
    first = entries(job)[0]
    assert (first.kind, first.shift) == ("plan", "")
    assert first.body["toml"] == files(job)["plan.toml"].read_text("utf-8")
    assert "nvented" in files(job)["README.md"].read_text("utf-8")
    assert "Invented" in plan(job)["job"]["note"]


def test_a_job_that_is_not_there_is_refused() -> None:
    with pytest.raises(NotFound, match="harrow and kestrel"):
        files("elsewhere")


@jobs
def test_every_entry_is_sound(job: str) -> None:
    for entry in entries(job):
        kind = kind_named(entry.kind)
        assert opened(entry).trouble == ""
        assert set(entry.place) <= set(kind.place), entry.text
        assert unusual(kind, entry.body) == [], entry.text
        assert entry.written >= entry.at


@jobs
def test_every_device_has_one_person_and_a_whole_chain(job: str) -> None:
    found = chains(entries(job))
    assert len(found) >= 5
    assert all(chain.whole and len(chain.heads) == 1 for chain in found.values())
    assert len({(e.device, e.by) for e in entries(job)}) == len(found)


@jobs
def test_the_lines_stand_as_they_were_written_device_among_device(job: str) -> None:
    assert all(a.written <= b.written for a, b in pairwise(entries(job)))
    changes = [a.device != b.device for a, b in pairwise(entries(job))]
    assert changes.count(True) > len(changes) / 4


TABLES = {
    # what entries name -> the plan's table of it
    "truck": "trucks",
    "mix": "mixes",
    "plant": "plants",
    "instrument": "instruments",
    "lane": "lanes",
    "lift": "lifts",
    "paver": "pavers",
    "area": "areas",
}


@jobs
def test_whatever_an_entry_names_is_in_the_plan(job: str) -> None:
    known = {name: {row["id"] for row in plan(job)[table]} for name, table in TABLES.items()}
    known["area"] |= {str(e.body["area"]) for e in of(job, "tack")}  # there it is a size
    roles = {row["id"]: row["role"] for row in plan(job)["people"]}
    for entry in entries(job):
        assert roles[entry.by] in kind_named(entry.kind).writers, entry.text
        named = {**entry.place, **entry.body, "instrument": entry.instrument}
        unknown = [name for name in TABLES if named.get(name, "") not in known[name] | {""}]
        assert unknown == [], entry.text
        if entry.kind == "notice":
            assert roles.keys() >= set(entry.body["to"])


@jobs
def test_whatever_an_entry_points_at_is_there(job: str) -> None:
    ids = {entry.id for entry in entries(job)}
    assert len(ids) == len(entries(job))
    for entry in entries(job):
        for name in ("load", "notice", "about"):
            said = entry.body.get(name, [])
            assert ids >= set([said] if isinstance(said, str) else said), entry.text
        assert not entry.strikes or entry.strikes in ids
        assert bool(entry.strikes) <= bool(entry.why)


@jobs
def test_gross_less_tare_is_net(job: str) -> None:
    weighed = [e.body for e in entries(job) if "gross" in e.body]
    assert len(weighed) > 10
    for body in weighed:
        gross, tare, net = (parse(body[name]).number for name in ("gross", "tare", "net"))
        assert gross - tare == net


# What the READMEs promise, by name

Feature = Callable[[], object]


def _unanswered(job: str) -> Sequence[Entry]:
    return [notice for notice in of(job, "notice") if not answers(job, notice)]


def _loads(job: str, shift: str = "") -> list[Entry]:
    struck = {entry.strikes for entry in entries(job)}
    found = [e for e in of(job, "load") if e.id not in struck and e.body.get("form") != "reprint"]
    return [entry for entry in found if shift in ("", entry.shift)]


def _repeated() -> set[tuple[str, ...]]:
    by_number = Counter(load.body["ticket"] for load in _loads("harrow"))
    (number,) = [number for number, count in by_number.items() if count == 2]
    trucks = tuple(e.body["truck"] for e in _loads("harrow") if e.body["ticket"] == number)
    assert len(set(trucks)) == 2
    return {trucks}


def _missing() -> set[int]:
    numbers = {int(load.body["ticket"]) for load in _loads("harrow")}
    assert numbers >= {int(row["Docket"]) for row in rows("harrow")}
    return set(range(min(numbers), max(numbers))) - numbers


def _cold() -> list[Entry]:
    found = [e for e in of("harrow", "load", decision="turned away") if "temp" in e.body]
    cold = [e for e in found if e.body["mix"] == "ac16"]
    assert all(parse(e.body["temp"]).si() < 115 for e in cold)
    told = [n for n in calls_told("harrow", "load.temperature") if answers("harrow", n)]
    assert {n.body["about"][0] for n in told} == {e.id for e in cold}
    return cold


def _overweight(job: str, legal: str) -> Entry:
    (notice,) = calls_told(job, "load.overweight")
    load = next(e for e in entries(job) if e.id == notice.body["about"][0])
    assert parse(load.body["gross"]).si() > parse(legal).si()
    assert load.body["decision"] == "taken"
    return notice


def _unanswered_until_the_next_day() -> list[Entry]:
    notice = _overweight("harrow", "38.0 t")
    (reply,) = answers("harrow", notice)
    assert (notice.shift, reply.shift, reply.body["settles"]) == (DAY, NEXT, "yes")
    return [reply]


def _back_too_soon() -> Entry:
    (notice,) = calls_told("harrow", "load.back-too-soon")
    gone, back = (next(e for e in entries("harrow") if e.id == i) for i in notice.body["about"])
    assert gone.body["truck"] == back.body["truck"]
    assert back.at - gone.at < timedelta(minutes=30)
    assert abs(parse(back.body["net"]).si() - parse(gone.body["net"]).si()) <= 300
    (reply,) = answers("harrow", notice)
    assert reply.body["settles"] == "no"
    return back


def _stands(job: str) -> list[tuple[str, float]]:
    """Each stop's reason and its minutes."""
    found = []
    for paver in {entry.place["paver"] for entry in of(job, "paver")}:
        said = [entry for entry in of(job, "paver") if entry.place["paver"] == paver]
        in_time = sorted(said, key=lambda entry: entry.at)
        found += [
            (here.body["reason"], (after.at - here.at).total_seconds() / 60)
            for here, after in pairwise(in_time)
            if here.body["event"] == "stop"
        ]
    return sorted(found)


def _wrong_station() -> Entry:
    (right,) = [e for e in of("harrow", "load") if e.strikes]
    wrong = next(e for e in entries("harrow") if e.id == right.strikes)
    assert (wrong.place["to"], right.place["to"]) == ("3+635", "3+653")
    assert dict(wrong.body) == dict(right.body)
    return right


def _contest() -> list[Entry]:
    struck = Counter(entry.strikes for entry in entries("harrow") if entry.strikes)
    (wrong,) = [name for name, count in struck.items() if count == 2]
    sides = [entry for entry in entries("harrow") if entry.strikes == wrong]
    assert {entry.by for entry in sides} == {"ines", "greta"}
    assert len({entry.body["depth"] for entry in sides}) == 2
    return sides


def _late() -> Entry:
    late = one("harrow", "note", from_memory="yes")
    assert timedelta(hours=1.9) < late.written - late.at < timedelta(hours=2.2)
    return late


def _differing_net() -> set[str]:
    theirs = {(row["Docket"], row["Fleet"]): f"{row['Net t']} t" for row in rows("harrow")}
    ours = {(e.body["ticket"], e.body["truck"]): e.body["net"] for e in _loads("harrow", DAY)}
    assert theirs.keys() == ours.keys()
    apart = {key[0] for key in ours if ours[key] != theirs[key]}
    assert len(apart) == 1
    return apart


def _drifting() -> list[Entry]:
    (notice,) = calls_told("harrow", "yield.last")
    assert [e.body["settles"] for e in answers("harrow", notice)] == ["yes"]
    return of("harrow", "loose-depth", adjusted="down")


def _next_hour() -> list[Entry]:
    loads = _loads("harrow", NEXT)
    assert len(loads) == 10
    assert not any("from" in load.place for load in loads)
    return loads


def _midnight() -> set[str]:
    night = entries("kestrel")
    assert {entry.shift for entry in night} == {"", "kestrel/2026-10-31/b/night"}
    assert {entry.data["at"][:10] for entry in night[1:]} == {"2026-10-31", "2026-11-01"}
    return {entry.data["at"][-6:] for entry in night}


def _hour_twice() -> set[str]:
    twice = [e.data["at"] for e in entries("kestrel") if e.data["at"].startswith("2026-11-01T01:")]
    assert len({text[-6:] for text in twice}) == 2
    assert any(row["Date/Time"].startswith("11/01/2026 1:") for row in rows("kestrel"))
    return set(twice)


def _split() -> set[str]:
    parts: dict[str, list[Entry]] = {}
    for part in of("kestrel", "placed"):
        parts.setdefault(part.body["load"], []).append(part)
    split = max(parts.values(), key=len)
    assert {(p.body["to"], p.place["lane"]) for p in split} >= {
        ("mainline", "1"),
        ("mainline", "2"),
    }
    return {str(part.body.get("area", "")) for part in split} - {""}


def _handed_over() -> bool:
    given, accepted = of("kestrel", "handover")
    (notice,) = calls_told("kestrel", "load.overweight")
    (reply,) = answers("kestrel", notice)
    assert (given.by, accepted.by) == ("wade", "june")
    assert given.body["matters"] == accepted.body["matters"] == [notice.id]
    return notice.at < given.at < accepted.at < reply.at


def _gaps_of_others() -> set[int]:
    numbers = {int(load.body["ticket"]) for load in _loads("kestrel")}
    return set(range(min(numbers), max(numbers))) - numbers


def _back_dated() -> Entry:
    (notice,) = calls_told("kestrel", "load.age")
    load = next(e for e in entries("kestrel") if e.id == notice.body["about"][0])
    before = [e for e in _loads("kestrel") if e.body["ticket"] < load.body["ticket"]]
    assert max(e.body["loaded"] for e in before) > load.body["loaded"]
    return load


def _written_later(job: str) -> list[Entry]:
    return [e for e in of(job, "load") if e.written - e.at > timedelta(minutes=30)]


FEATURES: dict[str, Feature] = {
    "harrow: about 110 loads": lambda: 105 <= len(_loads("harrow", DAY)) <= 115,
    "harrow: cold loads turned away, told and answered": lambda: len(_cold()) == 2,
    "harrow: an overloaded truck, unanswered until next day": _unanswered_until_the_next_day,
    "harrow: a repeated number": _repeated,
    "harrow: a missing number": lambda: _missing() == {1095},
    "harrow: a wrong mix": lambda: one("harrow", "load", mix="ac11", decision="turned away"),
    "harrow: back too soon": _back_too_soon,
    "harrow: yield drifting over, told and mended": _drifting,
    "harrow: two stops": lambda: _stands("harrow") == [("breakdown", 12), ("waiting for mix", 7)],
    "harrow: a shower": lambda: (
        of("harrow", "weather", rain="starts") and of("harrow", "weather", rain="stops")
    ),
    "harrow: wind changes": lambda: len({e.body.get("wind") for e in of("harrow", "weather")}) > 4,
    "harrow: a wrong station struck": _wrong_station,
    "harrow: a contest": _contest,
    "harrow: a late entry": _late,
    "harrow: the plant's net differs once": _differing_net,
    "harrow: part returned and weighed back": lambda: one("harrow", "weigh-back"),
    "harrow: part wasted": lambda: one("harrow", "placed", to="waste"),
    "harrow: parts in driveways": lambda: len(of("harrow", "placed", to="area")) == 3,
    "harrow: depth checks": lambda: len(of("harrow", "loose-depth")) > 100,
    "harrow: slopes by board": lambda: all("board" in e.body for e in of("harrow", "slope")),
    "harrow: probe and infrared": lambda: (
        {e.body["how"] for e in of("harrow", "temperature")} == {"probe", "infrared"}
    ),
    "harrow: wider at one place": lambda: one("harrow", "width", width="3.74 m"),
    "harrow: rollers": lambda: len(of("harrow", "roller")) == 14,
    "harrow: densities": lambda: of("harrow", "density", basis="maximum", purpose="process"),
    "harrow: cores and samples": lambda: (
        (len(of("harrow", "core")), len(of("harrow", "sample"))) == (13, 2)
    ),
    "harrow: a control strip": lambda: (
        len([e for e in of("harrow", "density", strip="S-1") if "passes" in e.body]) == 18
        and len([e for e in of("harrow", "density", strip="S-1") if "readings" in e.body]) == 10
    ),
    "harrow: a gauge counted again": lambda: one("harrow", "gauge-check", result="outside"),
    "harrow: two lots drawn": lambda: (
        {e.body["lot"] for e in of("harrow", "draw", step="told")} == {"mat-1", "mat-2"}
    ),
    "harrow: tack": lambda: of("harrow", "tack"),
    "harrow: joints": lambda: (
        of("harrow", "joint-longitudinal", edge="open")
        and {e.body["step"] for e in of("harrow", "joint-transverse")}
        >= {"face", "stopped", "ramp removed", "starter strips", "restarted", "straightedge"}
    ),
    "harrow: a ramp of 20 to 1": lambda: one("harrow", "ramp", step="60 mm", length="1.20 m"),
    "harrow: markings": lambda: (
        {e.body["state"] for e in of("harrow", "markings")}
        == {"present", "missing", "not looked at"}
    ),
    "harrow: traffic control": lambda: (
        {e.body["state"] for e in of("harrow", "traffic-control")}
        == {"up", "checked", "deficient", "corrected", "down"}
    ),
    "harrow: a machine down": lambda: of("harrow", "equipment", state="down"),
    "harrow: a change of plan": lambda: one("harrow", "plan", path="lifts/binder/spread"),
    "harrow: tie-out": lambda: one("harrow", "tie-out"),
    "harrow: closed and signed": lambda: (
        of("harrow", "shift-close")
        and {e.by for e in of("harrow", "signature")} == {"ines", "greta"}
    ),
    "harrow: other kinds": lambda: (
        {e.kind for e in entries("harrow")}
        >= {"crew", "visitor", "delay", "extra-work", "quantity", "checklist", "hold-point"}
        | {"instruction", "disagreement", "custody", "gauge-check", "opened-to-traffic"}
    ),
    "harrow: the next day's first hour": _next_hour,
    "kestrel: across midnight, two offsets": lambda: _midnight() == {"-04:00", "-05:00"},
    "kestrel: an hour twice": _hour_twice,
    "kestrel: handover with an open matter": _handed_over,
    "kestrel: two pavers": lambda: {e.place["paver"] for e in _loads("kestrel")} == {"P1", "P2"},
    "kestrel: two mixes": lambda: {e.body["mix"] for e in _loads("kestrel")} == {"l4", "s9"},
    "kestrel: plant-wide numbers": lambda: len(_gaps_of_others()) > 30,
    "kestrel: a leveling course": lambda: "levelling" in plan("kestrel")["lifts"][0],
    "kestrel: milled": lambda: any("Milled" in e.body["note"] for e in of("kestrel", "surface")),
    "kestrel: a split load and a driveway": lambda: _split() == {"driveway-146"},
    "kestrel: a void ticket": lambda: one("kestrel", "load", decision="void"),
    "kestrel: a back-dated ticket": _back_dated,
    "kestrel: a load written later": lambda: len(_written_later("kestrel")) == 1,
    "kestrel: a handwritten ticket": lambda: one("kestrel", "load", form="handwritten"),
    "kestrel: a reprint": lambda: one("kestrel", "load", form="reprint"),
    "kestrel: a station equation": lambda: plan("kestrel")["roads"][0]["equations"],
    "kestrel: overweight": lambda: _overweight("kestrel", "70000 lb"),
    "kestrel: one stop": lambda: _stands("kestrel") == [("waiting for mix", 14)],
    "kestrel: one notice unanswered": lambda: len(_unanswered("kestrel")) == 1,
    "kestrel: opened with ramps and markings": lambda: (
        len(of("kestrel", "opened-to-traffic")) == 2
        and len(of("kestrel", "ramp")) == 2
        and of("kestrel", "markings", state="present")
    ),
}


@pytest.mark.parametrize("feature", FEATURES)
def test_the_demo_has(feature: str) -> None:
    assert FEATURES[feature]()
