"""Ways into a plan's document."""

import copy
import random
import tomllib

import pytest

from matbook.errors import PlanRefused, Refused
from matbook.plan.paths import change, differences, text_at
from matbook.plan.reader import read_document, read_plan
from matbook.plan.starter import starter
from tests.mutations import mutate
from tests.plan.plans import PLAN, spoilt

DOCUMENT = tomllib.loads(PLAN)


@pytest.mark.parametrize(
    ("path", "text"),
    [
        ("job/name", "Ridge Road"),
        ("lifts/surface/spread", "118 kg/m2"),
        ("mixes/ac11/temperatures/delivery/low", "115 degC"),
        ("lanes/W/widths/3+000/width", "4.20 m"),
        ("lifts/levelling/levelling/2+400/mass", "5.5 t/100m"),
        ("lifts/surface/lanes", '["E", "W"]'),
        ("checks/probe/first", "5"),
        ("checks/probe/of/temp", "*"),
        ("plants/east/columns/temp", '""'),
        ("roads/ridge/equations", '[["2+600.00", "2+650.00"]]'),
        ("acceptance/lots", '[{"size": 500, "cap": 1.02, "last": true}]'),
        ("people/rika", '{"name": "Rika Sand", "role": "plant"}'),
        (
            "lifts/levelling",
            '{"name": "Levelling course", "mix": "ac11", "lanes": ["E"], '
            '"levelling": [{"from": "2+400", "to": "2+600", "mass": "5.5 t/100m"}]}',
        ),
        ("matbook", "1"),
        ("lifts/surface/budget", "435 t"),
        ("job/contract", None),
        ("lanes/N", None),
        ("lanes/N/width", None),
        ("acceptance/pay/factor", None),
    ],
)
def test_a_value_is_found_and_set_again(path: str, text: str | None) -> None:
    assert text_at(DOCUMENT, path) == text
    if text is not None:
        assert change(DOCUMENT, path, text) == DOCUMENT


@pytest.mark.parametrize(
    ("path", "new"),
    [
        ("lifts/surface/spread", "115 kg/m2"),
        ("lifts/surface/lanes", '["E"]'),
        ("checks/probe/first", "8"),
        ("job/contract", "MC-1"),
        ("checks/loose-depth/of", '{"adjusted": "*"}'),
        ("checks/loose-depth/of/adjusted", "*"),
        ("plants/east/columns/truck", "Truck"),
        ("plants/east/columns/truck", '""'),
        ("adopt", '["common-practice/edge-ratio"]'),
        ("people/bo", '{"name": "Bo", "role": "technician"}'),
        ("acceptance/lots", None),
        ("acceptance/factor", "1.02"),
        ("acceptance/basis", "by the tonne"),
        ("acceptance/basis", '"12"'),
        ("areas/driveway", None),
        ("mixes/ac11/temperatures/finish", '{"low": "90 degC", "grade": "watch"}'),
        ("mixes/ac11/temperatures/delivery/high", None),
    ],
)
def test_a_change_gives_a_plan_and_can_be_taken_back(path: str, new: str | None) -> None:
    before = copy.deepcopy(DOCUMENT)
    old = text_at(DOCUMENT, path)
    changed = change(DOCUMENT, path, new)
    assert before == DOCUMENT
    assert text_at(changed, path) == new
    read_document(changed)
    assert differences(change(changed, path, old), DOCUMENT) == []


MEANT = "path is “{}”; at “{}”, there is no such name among what there is (did you mean “{}”?)."
REFUSED = [
    (
        "lifst/surface/spread",
        "1",
        MEANT.format("lifst/surface/spread", "lifst", "lifts"),
    ),
    (
        "lifts/surfaces/spread",
        "1",
        MEANT.format("lifts/surfaces/spread", "surfaces", "surface"),
    ),
    (
        "lifts/surface/spred",
        "1",
        MEANT.format("lifts/surface/spred", "spred", "spread"),
    ),
    (
        "lifts/surface/spread/unit",
        "t",
        "path is “lifts/surface/spread/unit”; at “unit”, nothing more is inside.",
    ),
    ("lifts/surface/id", "top", None),
    ("lifts", "[]", "path is “lifts”; it leads to tables: go on to one of them by its name."),
    ("lifts/surface/thickness", None, None),
    ("lifts/top", None, None),
    (
        "lifts/top",
        "Top course",
        'new is “Top course”; at lifts/top it must be JSON, such as ["E", "W"], 3 or "text".',
    ),
    ("lifts/top", "[1]", 'new is “[1]”; it must be a table as JSON, such as {"name": "Lane 1"}.'),
    ("lifts/surface/lanes", "E", None),
    ("checks/probe/first", "NaN", None),
    ("lifts/surface/lanes", "[" * 100_000, None),
    ("lifts/surface/spread", '"unended', None),
    (
        "acceptance/lots/size",
        "1",
        "path is “acceptance/lots/size”; at “size”, nothing more is inside.",
    ),
    ("acceptance//size", "1", None),
    ("", "1", None),
    ("plants/east/columns/net/unit", "t", None),
]


@pytest.mark.parametrize(("path", "new", "sentence"), REFUSED)
def test_a_way_that_leads_nowhere_is_refused(
    path: str, new: str | None, sentence: str | None
) -> None:
    without = change(DOCUMENT, "lifts/surface/thickness", None)
    with pytest.raises(Refused) as refused:
        change(without, path, new)
    assert str(refused.value) == (sentence or str(refused.value))


@pytest.mark.parametrize("path", ["lifts", "lifst/surface", "lifts/surface/spread/unit"])
def test_looking_where_nothing_can_be_is_refused_too(path: str) -> None:
    with pytest.raises(Refused):
        text_at(DOCUMENT, path)


def test_differences_of_two_plans_by_path() -> None:
    new = spoilt(
        '"118 kg/m2"',
        '"115 kg/m2"',
        'roll_down = "20 %"\n',
        "",
        'low = "115 degC"',
        'low = "120 degC"',
        '[[people]]\nid = "rika"\nname = "Rika Sand"\nrole = "plant"\n',
        "",
        "cap = 1.02",
        "cap = 1.03",
        "first = 5\n",
        "first = 6\n",
    )
    assert differences(DOCUMENT, tomllib.loads(new)) == [
        ("lifts/surface/spread", "118 kg/m2", "115 kg/m2"),
        ("lifts/surface/roll_down", "20 %", None),
        ("mixes/ac11/temperatures/delivery/low", "115 degC", "120 degC"),
        ("checks/probe/first", "5", "6"),
        (
            "acceptance/lots",
            '[{"size": 500, "cap": 1.02, "last": true}]',
            '[{"size": 500, "cap": 1.03, "last": true}]',
        ),
        ("people/rika", '{"name": "Rika Sand", "role": "plant"}', None),
    ]


def test_the_order_of_tables_is_no_difference() -> None:
    turned = {**DOCUMENT, "lanes": DOCUMENT["lanes"][::-1]}
    assert differences(DOCUMENT, turned) == []


def test_true_is_not_one() -> None:
    one, true = ({"acceptance": {"last": value}} for value in (1, True))
    assert differences(one, true) == [("acceptance/last", "1", "true")]
    assert change(one, "acceptance/last", "true") == true


def test_differences_lead_from_one_plan_to_another() -> None:
    """From the small plan and the starters to spoilt ones that still read, and back."""
    rng = random.Random(20260512)
    sources = [PLAN, starter("metric"), starter("us")]
    led = 0
    for _ in range(200):
        old_text = rng.choice(sources)
        try:
            new = read_plan(mutate(old_text, rng)).document
        except PlanRefused:
            continue
        old = read_plan(old_text).document
        if new["job"]["id"] == old["job"]["id"]:
            for start, end in ((old, new), (new, old)):
                at = start
                for path, before, after in differences(start, end):
                    assert text_at(at, path) == before
                    at = change(at, path, after)
                assert differences(at, end) == []
                assert _unordered(at) == _unordered(end)
            led += new != old
    assert led > 15, "too few of the spoilt plans still read, and differ"


def _unordered(document: object) -> object:
    """Without the order of tables, and without tables that hold nothing."""
    if isinstance(document, dict):
        pairs = {name: _unordered(value) for name, value in document.items()}
        return {name: value for name, value in pairs.items() if value not in ({}, [])}
    if isinstance(document, list) and all(isinstance(item, dict) for item in document):
        return sorted((_unordered(item) for item in document), key=repr)
    return document
