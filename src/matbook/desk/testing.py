"""What density is tested with and on, as it is asked for: found once, its figures, their names."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from matbook.desk.asking import Asked
from matbook.desk.lots import work_of
from matbook.lots.testing import Testing, calls, testing
from matbook.shift.calls import Call
from matbook.shift.display import Display, fixed, sign, signed
from matbook.shift.facts import Fact
from matbook.shift.figure import Figure

FAMILIES: Final = ("strip", "gauge", "core")
"""Figures whose names begin so are of strips, gauges and cores."""

DIGITS: Final[Mapping[str, tuple[int, str]]] = {
    # what a figure without a density's unit is -> decimals, and the unit said beside it
    "passes": (0, ""),
    "mean": (1, "%"),
    "least": (1, "%"),
    "ratio": (3, ""),
    "bulk": (3, ""),
    "absorption": (2, "%"),
    "percent": (1, "%"),
    "voids": (1, "%"),
}

Row = dict[str, Any]


def tested(asked: Asked) -> Testing:
    """Strips, gauges and cores of the job as far as the shift and moment asked about."""
    return testing(work_of(asked))


def testing_calls(asked: Asked, found: Testing) -> list[Call]:
    """What of them needs a person."""
    return list(calls(work_of(asked), found))


def testing_figures(asked: Asked) -> Mapping[str, Figure]:
    """Every figure of them by name."""
    return tested(asked).figures()


def testing_value(display: Display, what: str, value: float, unit: str) -> str:
    """A figure's number with its unit, at the digits it is shown with everywhere."""
    if what == "drift":
        return f"{signed(value, 2)} %"
    if what in DIGITS:
        digits, of = DIGITS[what]
        return f"{fixed(value, digits)} {of}".rstrip()
    if what == "offset":
        return display.difference("density", value)
    if what == "thickness":
        return display.show("thickness", value)
    if unit == "kg":
        return display.show("mass", value, 0)
    return display.show("density", value) if unit == "kg/m3" else f"{value:.6g} {sign(unit)}"


def kind_of(name: str) -> str:
    """What a figure is a number of, from its name: the drift of one count, a strip's target."""
    steps = name.split("/")
    return steps[2] if steps[0] == "gauge" and steps[2] in ("drift", "turned") else steps[-1]


def testing_title(asked: Asked, name: str) -> str:
    """What a figure is a number of, in words."""
    family, _, rest = name.partition("/")
    what = kind_of(name)
    of = rest.partition("/")[0] if family == "gauge" else rest.rpartition("/")[0]
    instrument = asked.plan.instruments.get(of)
    return asked.say(f"figure.{family}.{what}", of=instrument.name if instrument else of)


# The shape that every answer has


def line(text: str, figure: str | None = None, state: str = "") -> Row:
    """A sentence, the figure that it opens to, and its state where it has one."""
    return {"text": text, "figure": figure, "state": state}


def cell(text: str, figure: str | None = None, entry: str | None = None) -> Row:
    """What stands in a table, and what it opens to."""
    return {"text": text, "figure": figure, "entry": entry}


def table(asked: Asked, title: str, columns: Sequence[str], rows: Sequence[list[Row]]) -> Row:
    """A table: the codes of its title and of its columns, and its rows."""
    heads = [asked.say(f"testing.column.{name}") for name in columns]
    return {"title": asked.say(title), "columns": heads, "rows": list(rows)}


def part(title: str, **said: Any) -> Row:
    """One strip, gauge or list: lines, a chart, tables, notes."""
    return {"title": title, "lines": [], "chart": None, "tables": [], "notes": [], **said}


def shown(asked: Asked, name: str, figure: Figure) -> str:
    """A figure's number as it is shown everywhere."""
    return testing_value(asked.display, kind_of(name), figure.value, figure.unit)


def opens(asked: Asked, name: str, figures: Mapping[str, Figure]) -> Row:
    """A cell with a figure's number that opens to it; a dash where there is none."""
    found = figures.get(name)
    return cell("—") if found is None else cell(shown(asked, name, found), figure=name)


def ends(asked: Asked, name: str, figure: Figure) -> tuple[str, str] | None:
    """Both ends of a figure's 95 % range, as its number is shown; None where it has none."""
    if figure.low is None or figure.high is None:
        return None
    what = kind_of(name)
    low, high = (
        testing_value(asked.display, what, end, figure.unit) for end in (figure.low, figure.high)
    )
    return low, high


def range_words(asked: Asked, name: str, figure: Figure) -> str:
    """A figure's 95 % range in words; a dash where it has none."""
    found = ends(asked, name, figure)
    return "—" if found is None else asked.say("testing.range", low=found[0], high=found[1])


def when(asked: Asked, fact: Fact) -> Row:
    """A cell with the moment of an entry that opens to it."""
    return cell(f"{asked.local(fact.at):%Y-%m-%d %H:%M}", entry=fact.id)


def density(asked: Asked, kg_m3: float) -> str:
    """A density in the job's unit."""
    return asked.display.show("density", kg_m3)
