"""The picture of a shift of 110 loads: drawn, renewed, and the forecasts that it stands on.

Every load has its own temperature, every tenth was measured behind the screed, the weather was
written down four times and two readings on the mat agree. Drawing takes facts and forecasts as
they are; what the forecasts take is a row of its own. All times are processor time, the shortest
of a few runs. What stands once the day is read is put out of sight of Python's cyclic collector,
as the app does.
"""

import gc
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from importlib import resources
from time import process_time

from bench.row import Row
from matbook.book.entry import Entry, read_entry
from matbook.book.pen import Pen, ShiftName, new_id
from matbook.engine.forecasting import forecast
from matbook.shift.charts.picture import chart
from matbook.shift.charts.piecewise import table
from matbook.shift.facts import Facts
from matbook.shift.mats import Mat
from matbook.shift.view import View, view

SHIFT = "bench/2026-05-12/a/day"
START = 1_778_576_400_000
"""Six in the morning there [ms]."""
LOADS = 110
MINUTES = 6.0
"""From load to load."""
METRES = 43.0
HERE = {"lane": "E", "lift": "binder", "paver": "P1"}


def rows(quick: bool) -> Iterator[Row]:
    """Drawn, renewed after a load and after a reading, its table, the forecasts, their error."""
    runs = 2 if quick else 7
    day = full_day()
    scratch = shortest(lambda: drawn(seen(facts_of(day))), 1 if quick else 3)
    facts = facts_of(day)
    drawn(seen(facts))
    gc.collect()
    gc.freeze()
    spent = shortest(lambda: drawn(seen(facts)), runs)
    note = "from nothing, its forecasts too"
    yield row("picture of a shift, 110 loads, drawn, ms", spent, scratch, f"aim under 300; {note}")
    spent = shortest(lambda: table(seen(facts), "E", "binder"), runs)
    yield row("its table, mean and surface now, ms", spent, scratch, note)
    for name, wanted in (("a load", one_more), ("a reading that agrees", one_reading)):
        spent = min(renewed(facts, day, wanted, n) for n in range(runs))
        yield row(f"renewed after {name}, ms", spent, scratch, f"aim under 50; {note}")
    gc.unfreeze()
    yield from forecasts(day, 4 if quick else 1)


def forecasts(day: Sequence[Entry], every: int) -> Iterator[Row]:
    """The shift's family against a forecast for each piece by itself, and how far they differ."""
    facts = facts_of(day)
    mats = seen(facts).mats
    spent = timed(lambda: [mat.left() for mat in mats])
    errors: list[float] = []
    alone = timed(lambda: errors.extend(error(mat) for mat in mats[::every])) * every
    yield row("the shift's family of forecasts, ms", spent, alone, "one by one for each piece")
    widths = [left.late - left.early for mat in mats if (left := mat.left()) is not None]
    narrow = min(widths)
    note = "aim at most 10; the narrowest range of a piece"
    yield Row("interpolated times, worst, s", max(errors), narrow, max(errors) / narrow, note)


def error(mat: Mat) -> float:
    """By how much the family's range differs from that of the piece alone [s]."""
    family, left = mat.family, mat.left()
    lift = replace(family.lift, start_c=mat.starts_c)
    own = forecast([lift, *family.under], family.weather, family.ends_c).time_to(family.ends_c)
    if left is None or own is None:
        raise SystemExit("a piece never comes to its end")
    ends = (left.early, own.early), (left.middle, own.middle), (left.late, own.late)
    return max(abs(ours - theirs) for ours, theirs in ends)


def row(name: str, spent: float, reference: float, note: str) -> Row:
    return Row(name, 1e3 * spent, 1e3 * reference, spent / reference, note)


def full_day() -> list[Entry]:
    """An invented day of 110 loads, each with its own temperature."""
    made: list[Entry] = []
    pen = Pen("phone-1", "ines")

    def write(
        minute: float, kind: str, body: Mapping[str, object], place: Mapping[str, str]
    ) -> None:
        nonlocal pen
        name = "" if kind == "plan" else SHIFT
        stamp = new_id(START + len(made), len(made).to_bytes(10))
        entry, pen = pen.write(
            stamp, "bench", kind, dict(body), at=moment(minute), written=moment(minute),
            shift=name, place=dict(place),
        )  # fmt: skip
        made.append(entry)

    plan = (resources.files("matbook.demo") / "harrow" / "plan.toml").read_text(encoding="utf-8")
    write(0.0, "plan", {"toml": plan}, {})
    write(0.0, "shift-open", {}, {})
    for n in range(4):
        sky = {"air": f"{11 + 3 * n} degC", "wind": f"{2 + n} m/s", "sky": "part cloud"}
        write(170.0 * n, "weather", {**sky, "surface": f"{12 + 4 * n} degC"}, {})
    write(10.0, "paver", {"event": "start"}, {**HERE, "station": station(0.0)})
    for n in range(LOADS):
        minute = 10.0 + (n + 1) * MINUTES
        write(minute, "load", load(n), {**HERE, "to": station(n + 1.0), **begun(n)})
        write(minute, "loose-depth", {"depth": "75 mm"}, {**HERE, "station": station(n + 0.8)})
        if n % 10 == 5:
            laid = {"stage": "laydown", "temp": f"{136 + n % 7 * 2} degC", "how": "probe"}
            write(minute, "temperature", laid, {**HERE, "station": station(n + 0.5)})
    for n, temp in ((30, 93), (70, 95)):
        write(10.0 + n * MINUTES + 17.0, "temperature", on_the_mat(temp), at(n))
    return sorted(made, key=lambda entry: entry.order)


def begun(n: int) -> dict[str, str]:
    return {"from": station(0.0)} if n == 0 else {}


def load(n: int) -> dict[str, object]:
    temp = f"{146 + n * 37 % 19 + n % 3 * 0.4:.1f} degC"
    return {
        "plant": "stonewick",
        "ticket": str(1000 + n),
        "truck": str(20 + n % 12),
        "mix": "ac16",
        "net": "22.40 t",
        "temp": temp,
        "decision": "taken",
    }


def on_the_mat(temp: int) -> dict[str, object]:
    return {"stage": "finish", "temp": f"{temp} degC", "how": "probe", "settled": "yes"}


def at(loads: float) -> dict[str, str]:
    return {**HERE, "station": station(loads)}


def station(loads: float) -> str:
    """Where the paver is after so many loads."""
    metres = 2200.0 + loads * METRES
    return f"{int(metres // 1000)}+{metres % 1000:05.1f}"


def moment(minute: float) -> str:
    whole = round(minute * 60.0)
    return f"2026-05-12T{6 + whole // 3600:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}-03:00"


def facts_of(day: Sequence[Entry]) -> Facts:
    return Facts(ShiftName.read(SHIFT), [read_entry(entry.text) for entry in day])


def seen(facts: Facts) -> View:
    last = facts.entries()[-1]
    return view(facts, last.at + timedelta(minutes=1))


def drawn(shown: View) -> None:
    if chart(shown, "E", "binder") is None:
        raise SystemExit("there is no picture")


def renewed(
    facts: Facts, day: Sequence[Entry], wanted: Callable[[Sequence[Entry], int], Entry], n: int
) -> float:
    """One entry more, until the picture is there again [s]; it stays in the day."""
    entry = wanted(day, n)

    def renew() -> None:
        facts.add(entry)
        drawn(seen(facts))

    return timed(renew)


def one_more(day: Sequence[Entry], n: int) -> Entry:
    """Another load at the end."""
    minute = 10.0 + (LOADS + n + 1) * MINUTES / 4
    place = {**HERE, "to": station(LOADS + (n + 1) / 4)}
    return other(n, "load", load(LOADS + n), minute + 0.75 * LOADS * MINUTES, place)


def one_reading(day: Sequence[Entry], n: int) -> Entry:
    """A reading that agrees, on the mat of half an hour before the end."""
    loads = LOADS - 4.0 - n / 8
    return other(100 + n, "temperature", on_the_mat(95), 10.0 + loads * MINUTES + 16.0, at(loads))


def other(
    n: int, kind: str, body: Mapping[str, object], minute: float, place: Mapping[str, str]
) -> Entry:
    """An entry of another device."""
    pen = Pen(f"phone-{n + 2}", "ines")
    stamp = new_id(START + 10**8 + n, n.to_bytes(10))
    when = moment(minute)
    entry, _ = pen.write(
        stamp, "bench", kind, dict(body), at=when, written=when, shift=SHIFT, place=dict(place)
    )
    return entry


def shortest(work: Callable[[], object], runs: int) -> float:
    return min(timed(work) for _ in range(runs))


def timed(work: Callable[[], object]) -> float:
    begun_at = process_time()
    work()
    return process_time() - begun_at
