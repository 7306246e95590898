"""Ready-made limits: every one can be adopted, and says where it comes from."""

from decimal import Decimal

import pytest

from matbook.errors import NotFound
from matbook.plan.limit_sets import limit_set, limit_sets, ready
from matbook.plan.quantities import quantities
from matbook.plan.reader import read_plan
from tests.plan.plans import spoilt

STANDINGS = ("read", "from memory", "common practice")


@pytest.mark.parametrize("name", ready())
def test_a_ready_made_limit_makes_sense_and_names_its_source(name: str) -> None:
    row = ready()[name]
    quantity = quantities()[row.quantity]
    assert row.unit in quantity.units
    assert row.side in quantity.sides
    assert Decimal(row.number) > 0
    assert row.source
    assert row.standing in STANDINGS
    assert (row.standing == "common practice") == row.source.startswith("common practice")
    assert row.about


def test_every_ready_made_limit_can_be_adopted() -> None:
    listed = ", ".join(f'"{name}"' for name in ready())
    plan = read_plan(spoilt('adopt = ["common-practice/ramp-ratio"]', f"adopt = [{listed}]"))
    adopted = {limit.id: limit for limit in plan.limits}
    assert ready().keys() <= adopted.keys()
    for name, row in ready().items():
        limit = adopted[name]
        assert (limit.number, limit.unit, limit.standing) == (row.number, row.unit, row.standing)
        assert row.source in limit.source
        assert row.edition in limit.source
        assert (limit.grade, limit.method, limit.tell) == (row.grade, row.method, tuple(row.tell))


def test_adopting_twice_adopts_once() -> None:
    text = spoilt(
        "common-practice/ramp-ratio", 'common-practice/ramp-ratio", "common-practice/ramp-ratio'
    )
    assert [limit.id for limit in read_plan(text).limits].count("common-practice/ramp-ratio") == 1


def test_a_set_is_found_by_name() -> None:
    assert limit_set("common-practice") is limit_sets()["common-practice"]
    assert limit_set("common-practice").about
    with pytest.raises(NotFound, match="no set of limits “nowhere”; there is: caltrans"):
        limit_set("nowhere")
