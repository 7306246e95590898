"""The form agrees with the records it fills, and with the layers that know the same words."""

from dataclasses import fields
from typing import Any, get_args, get_type_hints

import pytest

from matbook.book.kinds import kinds
from matbook.engine import rounding, units
from matbook.engine.spread import SHAPES
from matbook.engine.stationing import FEET, STYLES
from matbook.plan import model
from matbook.plan.form import ROOT, Field, form, inner
from matbook.plan.quantities import quantities
from matbook.plan.relations import CATALOGUES
from matbook.plan.values import PER, TYPES
from matbook.records.headings import FIELDS

RECORDS: dict[str, type[Any]] = {
    "job": model.Job,
    "roads": model.Road,
    "lanes": model.Lane,
    "areas": model.Area,
    "lifts": model.Lift,
    "levelling": model.Reach,
    "mixes": model.Mix,
    "temperatures": model.Limit,
    "limits": model.Limit,
    "checks": model.Check,
    "control_strip": model.StripRule,
    "gauge": model.GaugeRule,
    "plants": model.Plant,
    "trucks": model.Truck,
    "pavers": model.Machine,
    "rollers": model.Machine,
    "instruments": model.Instrument,
    "people": model.Person,
    "tack": model.Tack,
    "haul": model.Hauling,
}
OTHERWISE = {
    "roads": {"foot", "equations"},  # part of the stationing
    "lanes": {"from", "to", "width", "widths"},
    "levelling": {"from", "to"},
    "mixes": {"temperatures", "adopt"},  # limits of their own
    "temperatures": {"stage", "low", "high"},
}
"""Fields that don't go into their record under a name of their own."""

ALL = [(name, field) for name, table in form().items() for field in table.fields.values()]


def of(table: str, name: str) -> tuple[str, ...]:
    found = form()[table].fields[name].of
    assert isinstance(found, tuple)
    return found


@pytest.mark.parametrize("table", RECORDS)
def test_every_field_has_its_place_in_the_record(table: str) -> None:
    names = {field.into for field in form()[table].fields.values()} - OTHERWISE.get(table, set())
    assert names <= {field.name for field in fields(RECORDS[table])}


@pytest.mark.parametrize(
    ("table", "name"),
    [
        ("job", "units"),
        ("job", "paper"),
        ("job", "rounding"),
        ("limits", "side"),
        ("limits", "grade"),
        ("limits", "method"),
        ("temperatures", "grade"),
        ("temperatures", "method"),
        ("plants", "numbers"),
        ("people", "role"),
    ],
)
def test_choices_are_those_of_the_record(table: str, name: str) -> None:
    assert set(of(table, name)) == set(get_args(get_type_hints(RECORDS[table])[name]))


def test_choices_are_those_of_other_layers() -> None:
    assert set(of("roads", "stationing")) == set(STYLES)
    assert of("roads", "foot") == FEET
    assert set(of("widths", "then")) == set(SHAPES)
    assert set(of("job", "rounding")) == set(rounding.RULES)
    assert set(of("limits", "method")) == set(rounding.METHODS)
    assert set(of("plants", "columns")) == set(FIELDS)
    assert {"loads", "events", *PER.values()} == set(get_args(get_type_hints(model.Check)["per"]))


def test_every_stage_of_a_temperature_is_a_quantity() -> None:
    stages = kinds()["temperature"].fields["stage"].of
    assert set(of("temperatures", "stage")) <= set(stages)
    assert {f"temperature.{stage}" for stage in stages} <= quantities().keys()


@pytest.mark.parametrize(("table", "field"), ALL, ids=lambda v: v if isinstance(v, str) else v.name)
def test_a_field_takes_what_it_says(table: str, field: Field) -> None:
    below = inner(field)
    assert (below is None) == (field.type in TYPES)
    if below is not None:
        assert below.name == field.of
        assert field.type == "table" or below.key in below.fields
    if field.type in ("amount", "printed", "unit"):
        assert units.units_of(str(field.of))
    if field.low:
        assert field.span[0] < field.span[1] or (table, field.name) == (ROOT, "matbook")
    if field.type == "ref":
        assert field.of in (*CATALOGUES, *form(), "tell")


def test_every_type_and_table_is_used() -> None:
    assert {field.type for _, field in ALL} == {*TYPES, "table", "tables"}
    used = {field.of for _, field in ALL if inner(field) is not None}
    assert used == form().keys() - {ROOT}
    assert all(table.about for table in form().values())
