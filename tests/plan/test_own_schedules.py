"""Pay schedules of the owner's in a plan: taken in from beside it, read, and named by its lots."""

import pytest

from matbook.engine.schedules import Composite
from matbook.errors import NotFound, PlanRefused
from matbook.plan.changes import NO_PLAN
from matbook.plan.own_schedules import with_schedules
from matbook.plan.reader import read_plan
from tests.lots.mat import WITH_LOTS

OURS = (
    'title = "Ours"\nsource = "S"\nedition = ""\nstanding = "read"\n'
    'measure = "percent within limits"\n[[groups]]\nfrom = 3\npolynomial = [0.5, 0.5]\n'
)
PLAN = WITH_LOTS.replace('schedule = "florida-percent"', 'schedule = "ours"')


def mistakes(text: str) -> str:
    with pytest.raises(PlanRefused) as refusal:
        read_plan(text)
    return str(refusal.value)


def test_a_schedule_beside_the_plan_is_taken_into_it_and_paid_by() -> None:
    text = with_schedules(PLAN, {"ours": OURS}.get)
    plan = read_plan(text)
    assert plan.schedule("ours").curve_at(90.0, 5).factor == 0.95
    assert plan.schedule("faa-p-401").title.startswith("FAA")
    assert with_schedules(text, {"ours": "other"}.get) == text


def test_what_ships_or_is_not_beside_it_is_left_as_it_is() -> None:
    assert with_schedules(WITH_LOTS, {"florida-percent": OURS}.get) == WITH_LOTS
    assert with_schedules(PLAN, lambda _: None) == PLAN
    assert with_schedules("no = = toml", {"ours": OURS}.get) == "no = = toml"
    assert with_schedules('lots = "none"', {"ours": OURS}.get) == 'lots = "none"'
    assert "no such name among the pay schedules" in mistakes(PLAN)


def test_any_text_comes_through_as_it_was() -> None:
    for ours in (OURS + "# '''\n", OURS + "# it's '", OURS + '# "quoted" \\ back\ttab'):
        document = read_plan(with_schedules(PLAN, {"ours": ours}.get)).document
        assert document["schedules"][0]["text"].strip() == ours.strip()


def test_every_mistake_of_a_schedule_is_one_of_the_plan() -> None:
    wrong = OURS.replace("from = 3", "from = 2").replace('source = "S"', "")
    said = mistakes(with_schedules(PLAN, {"ours": wrong}.get))
    assert "schedules[1] “ours”, text: groups[1].from: percent within limits takes at" in said
    assert "schedules[1] “ours”, text: source: it must be there, as text." in said


def test_it_must_not_be_called_as_one_that_ships() -> None:
    named = f"[[schedules]]\nid = \"faa-p-401\"\ntext = '''\n{OURS}'''\n"
    assert "one that ships is called so" in mistakes(WITH_LOTS + named)
    assert "text is missing" in mistakes(WITH_LOTS + '[[schedules]]\nid = "x"\n')


def test_a_composite_pays_no_single_characteristic() -> None:
    both = (
        'title = "B"\nsource = "S"\nedition = ""\nstanding = "read"\n'
        'composite = "lowest"\nweights = { a = 1 }\n'
    )
    said = mistakes(with_schedules(PLAN, {"ours": both}.get))
    assert "schedule" in said
    unused = f"[[schedules]]\nid = \"both\"\ntext = '''\n{both}'''\n"
    plan = read_plan(WITH_LOTS + unused)
    assert isinstance(plan.schedules["both"], Composite)
    with pytest.raises(NotFound):
        plan.schedule("both")


def test_without_a_plan_those_that_ship_are_there() -> None:
    assert NO_PLAN.schedule("florida-percent").name == "florida-percent"


def test_how_near_a_place_is_told_is_a_mass_or_a_length_as_the_lot_is() -> None:
    near = WITH_LOTS.replace("sublots = 5", 'sublots = 5\nnear = "60 m"')
    assert "it must be a mass or a length, as the lot's size is" in mistakes(near)
    plan = read_plan(near.replace('"60 m"', '"25 t"'))
    assert plan.lots[0].near == (25_000.0, "mass")
