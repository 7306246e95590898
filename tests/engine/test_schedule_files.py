"""Files that hold pay schedules: what is read, and a sentence for every mistake."""

import pytest

from matbook.engine.acceptance import (
    Band,
    Bands,
    Composite,
    PaySchedule,
    Polynomial,
    pay_composite,
    pay_schedule,
    pay_schedules,
    read_schedule,
)
from matbook.errors import FileRefused, NotFound, OutOfRange

ABOUT = 'title = "T"\nsource = "S"\nedition = "2026"\nstanding = "read"\n'
PWL = ABOUT + 'measure = "percent within limits"\n'
MEAN = ABOUT + 'measure = "mean"\n'
POLYNOMIAL = "groups = [{ from = 3, polynomial = [0.55, 0.5] }]\n"


def read(text: str) -> PaySchedule:
    found = read_schedule(text, "mine")
    assert isinstance(found, PaySchedule)
    return found


def mistakes(text: str) -> list[str]:
    with pytest.raises(FileRefused) as refusal:
        read_schedule(text, "mine")
    return str(refusal.value).split("\n")


def bands(*rows: str, measure: str = MEAN, more: str = "") -> str:
    return measure + more + "groups = [{ from = 1, bands = [" + ", ".join(rows) + "] }]\n"


def test_everything_a_schedule_may_say() -> None:
    found = read(
        PWL
        + 'convention = "faa-item-110"\nplaces = 1\nrounding = "half-up"\nreject_below = 0.75\n'
        + "left_in_place = 0.5\nshare_above = 1.0\nshare_below = 0.6\nblend = [5, 6]\n"
        + "tries = [{ lower = 92.0, upper = 97, cap = 1.05 }, { lower = 91.5 }]\n"
        + "[[groups]]\nfrom = 3\nto = 4\npolynomial = [1]\n"
        + '[[groups]]\nfrom = 5\nto = 6\nleast = [[1, 90], [0.9, 80.5]]\nstanding = "assumed"\n'
        + "[[groups]]\nfrom = 7\n"
        + "bands = [{ to = 80, rejected = true }, { from = 81, factor = 1 }]\n"
    )
    assert (found.name, found.edition, found.convention) == ("mine", "2026", "faa-item-110")
    assert (found.places, found.rounding, found.reject_below) == (1, "half-up", 0.75)
    assert (found.left_in_place, found.share_above, found.share_below) == (0.5, 1.0, 0.6)
    assert found.blend == (5, 6)
    assert [one.lower for one in found.tries] == [92.0, 91.5]
    assert [group.standing for group in found.groups] == ["read", "assumed", "read"]
    assert found.groups[0].curve == Polynomial((1.0,))
    assert found.groups[2].curve == Bands(
        (Band(0.0, 80.0, (0.0, 0.0), True), Band(81.0, 100.0, (1.0, 1.0)))
    )
    assert found.groups[2].most == 10_000


def test_a_composite() -> None:
    found = read_schedule(
        ABOUT + 'composite = "weighted"\ncap = 1.02\n[weights]\na = 1\nb = 2.5\n', "mine"
    )
    assert isinstance(found, Composite)
    assert (found.weights, found.cap, found.how) == ({"a": 1.0, "b": 2.5}, 1.02, "weighted")


def test_what_ships_is_read_and_named() -> None:
    assert len(pay_schedules()) == 15
    composites = ["corps-lot", "corps-mat-and-joint", "florida-composite"]
    assert [pay_composite(name).name for name in composites] == composites
    rest = [name for name in pay_schedules() if name not in composites]
    assert [pay_schedule(name).name for name in rest] == rest


def test_a_value_on_a_shared_end_belongs_to_the_first() -> None:
    text = bands("{ from = 92, factor = 1.0 }", "{ to = 92, factor = 0.9 }")
    assert read(text).curve_at(92.0, 1).factor == 1.0
    assert read(text).curve_at(91.999, 1).factor == 0.9


def test_a_line_between_its_ends() -> None:
    found = read(bands("{ from = 90, to = 92, factor = [0.8, 1.0] }"))
    assert found.curve_at(91.0, 5).factor == pytest.approx(0.9)
    with pytest.raises(OutOfRange, match="the schedule's table runs from 90 to 92"):
        found.curve_at(92.5, 5)


def test_printed_steps_leave_no_gap() -> None:
    text = bands(
        "{ to = 91.9, factor = 0.9 }", "{ from = 92.0, factor = 1.0 }", more="places = 1\n"
    )
    assert read(text).curve_at(91.9, 1).factor == 0.9
    assert mistakes(text.replace("places = 1\n", "")) == [
        "groups[1].bands: nothing is said between 91.9 and 92."
    ]


WRONG = {
    "not TOML at all": ("[", "This is no TOML"),
    "no source": (PWL.replace('source = "S"\n', "") + POLYNOMIAL, "source: it must be there"),
    "an empty title": (PWL.replace('"T"', '" "') + POLYNOMIAL, "title: it must be there, as text"),
    "no edition": (PWL.replace('edition = "2026"\n', "") + POLYNOMIAL, "edition: it must be"),
    "a word it doesn't know": (PWL + POLYNOMIAL + "bonus = 1\n", "bonus: unknown here"),
    "no measure": (ABOUT + POLYNOMIAL, "measure: it must be there"),
    "another measure": (
        ABOUT + 'measure = "median"\n' + POLYNOMIAL,
        "measure: “median” must be percent within limits or mean",
    ),
    "no groups": (PWL, "groups: there must be at least one"),
    "groups that are none": (PWL + "groups = 5\n", "groups[1].from: from and to must be"),
    "another table": (PWL + 'convention = "own"\n' + POLYNOMIAL, "convention: it must be exact or"),
    "another rounding": (PWL + 'rounding = "up"\n' + POLYNOMIAL, "rounding: it must be half-even"),
    "places": (PWL + "places = 9\n" + POLYNOMIAL, "places: it must be 0 to 6"),
    "a target in words": (PWL + 'target = "4"\n' + POLYNOMIAL, "target: 4 must be a number"),
    "a share": (PWL + "share_below = 3\n" + POLYNOMIAL, "share_below: 3 must be 0 to 2"),
    "limits the wrong way round": (
        PWL + "tries = [{ lower = 97, upper = 92 }]\n" + POLYNOMIAL,
        "tries[1].lower: 97 must be below upper, 92",
    ),
    "an upper limit in words": (
        PWL + 'tries = [{ upper = "97" }]\n' + POLYNOMIAL,
        "tries[1].upper: 97 must be a number",
    ),
    "a gap between groups": (
        PWL + "groups = [{ from = 3, to = 4, polynomial = [1] }, { from = 6, polynomial = [1] }]",
        "groups: there is a gap between 3 to 4 and 6 results",
    ),
    "groups that overlap": (
        PWL + "groups = [{ from = 3, to = 4, polynomial = [1] }, { from = 4, polynomial = [1] }]",
        "groups: there is an overlap between 3 to 4 and 4 results",
    ),
    "a group the wrong way round": (
        PWL + "groups = [{ from = 5, to = 4, polynomial = [1] }]",
        "groups[1].from: from and to must be 1 to 10000 results, in this order",
    ),
    "percent of two results": (
        PWL + "groups = [{ from = 2, polynomial = [1] }]",
        "groups[1].from: percent within limits takes at least 3 results",
    ),
    "a cap": (
        PWL + "groups = [{ from = 3, polynomial = [1], cap = 105 }]",
        "groups[1].cap: 105 must be 0 to 2",
    ),
    "no curve": (PWL + "groups = [{ from = 3 }]", "there must be one of bands, polynomial, least"),
    "two curves": (
        PWL + "groups = [{ from = 3, polynomial = [1], least = [[1, 90]] }]",
        "there must be one of bands, polynomial, least",
    ),
    "a polynomial of words": (
        PWL + 'groups = [{ from = 3, polynomial = ["a"] }]',
        "groups[1].polynomial: it must be a list of numbers",
    ),
    "a polynomial of a mean": (
        MEAN + "groups = [{ from = 3, polynomial = [1] }]",
        "groups[1].polynomial: this is only for percent within limits",
    ),
    "least that aren't pairs": (
        PWL + "groups = [{ from = 3, least = [[1, 90, 3]] }]",
        "groups[1].least: it must be a list of [factor, percentage]",
    ),
    "least out of range": (
        PWL + "groups = [{ from = 3, least = [[1, 900]] }]",
        "groups[1].least: [1, 900] must be a factor and a percentage",
    ),
    "least that rise": (
        PWL + "groups = [{ from = 3, least = [[1, 90], [0.9, 95]] }]",
        "groups[1].least: [0.9, 95] must be below [1, 90]",
    ),
    "no bands": (bands(), "groups[1].bands: there must be at least one"),
    "a gap between bands": (
        bands("{ to = 91, factor = 0.9 }", "{ from = 92, factor = 1 }"),
        "groups[1].bands: nothing is said between 91 and 92",
    ),
    "bands that overlap": (
        bands("{ to = 93, factor = 0.9 }", "{ from = 92, factor = 1 }"),
        "overlaps what begins at 92",
    ),
    "a band the wrong way round": (
        bands("{ from = 93, to = 92, factor = 1 }"),
        "groups[1].bands[1].from: 93 must not be above to, 92",
    ),
    "a band in words": (
        bands('{ from = "93", factor = 1 }'),
        "groups[1].bands[1].from: from and to must be numbers",
    ),
    "a factor of 105": (
        bands("{ factor = 105 }"),
        "groups[1].bands[1].factor: it must be 0 to 2, or two of them for a line",
    ),
    "three factors": (bands("{ from = 1, to = 2, factor = [1, 1, 1] }"), "two of them for a line"),
    "a factor left out": (bands("{ from = 92 }"), "bands[1].factor: it must be 0 to 2"),
    "a line without an end": (
        bands("{ from = 92, factor = [0.9, 1] }"),
        "groups[1].bands[1].factor: a line must have both its ends",
    ),
    "rejected in words": (
        bands('{ rejected = "yes", factor = 0 }'),
        "groups[1].bands[1].rejected: it must be true or false",
    ),
    "percent that ends early": (
        PWL + "groups = [{ from = 3, bands = [{ from = 50, factor = 1 }] }]",
        "groups[1].bands: they must run from 0 to 100 %",
    ),
    "a blend of one": (PWL + "blend = [10]\n" + POLYNOMIAL, "blend: it must be two numbers"),
    "a blend without neighbours": (
        PWL + "blend = [3, 5]\n" + POLYNOMIAL,
        "blend: every group in it must have one below and one above",
    ),
    "another composite": (
        ABOUT + 'composite = "product"\nweights = { a = 1 }\n',
        "composite: “product” must be weighted or lowest",
    ),
    "no weights": (ABOUT + 'composite = "lowest"\n', "weights: there must be a characteristic"),
    "a weight of nothing": (
        ABOUT + 'composite = "lowest"\nweights = { a = 0 }\n',
        "weights: every weight must be above 0",
    ),
    "a composite with groups": (
        ABOUT + 'composite = "lowest"\nweights = { a = 1 }\n' + POLYNOMIAL,
        "groups: unknown here",
    ),
}


@pytest.mark.parametrize("what", WRONG)
def test_a_mistake_is_named(what: str) -> None:
    text, says = WRONG[what]
    assert any(says in line for line in mistakes(text)), mistakes(text)


def test_every_mistake_is_named_at_once() -> None:
    found = mistakes('title = "T"\nplaces = -1\nmeasure = "mean"\ngroups = [{}]\n')
    assert len(found) == 6


def test_what_there_is_is_named() -> None:
    with pytest.raises(NotFound, match="There is no pay schedule “own”; there is: colorado"):
        pay_schedule("own")
    with pytest.raises(NotFound, match="There is no composite “faa-p-401”; there is: corps-lot"):
        pay_composite("faa-p-401")
