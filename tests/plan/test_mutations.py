"""Whatever is done to a plan's text, reading it gives a plan or says why not; nothing else."""

import random
import tomllib
from collections.abc import Callable
from functools import partial

import pytest

from matbook.errors import PlanRefused
from matbook.plan.model import Plan
from matbook.plan.reader import read_document, read_plan
from matbook.plan.starter import starter
from tests.mutations import MUTATIONS, mutate
from tests.plan.plans import PLAN

Mistakes = tuple[tuple[str, str], ...]


def mistakes_of(read: Callable[[], Plan]) -> Mistakes:
    """Every mistake of a plan; none if it reads. No other error is expected."""
    try:
        read()
    except PlanRefused as refused:
        return refused.mistakes or (("", ""),)
    return ()


def check_reasons(mistakes: Mistakes) -> None:
    for place, sentence in mistakes:
        assert place
        assert sentence.endswith((".", "?"))
        assert len(f"{place}{sentence}") < 2000


def check_spoilt_plans(count: int, seed: int) -> None:
    rng = random.Random(seed)
    sources = [PLAN, starter("metric"), starter("us")]
    read = 0
    for number in range(count):
        text = mutate(sources[number % len(sources)], rng)
        mistakes = mistakes_of(partial(read_plan, text))
        check_reasons(mistakes)
        read += not mistakes
    assert count / 20 < read < count / 2, "the mutations do too much, or too little"


def test_a_spoilt_plan_is_read_or_refused_with_reasons() -> None:
    check_spoilt_plans(300, seed=7)


@pytest.mark.long
def test_ten_thousand_spoilt_plans_are_read_or_refused_with_reasons() -> None:
    check_spoilt_plans(10_000, seed=8)


@pytest.mark.parametrize("mutation", MUTATIONS)
def test_every_mutation_changes_something(mutation: object) -> None:
    assert callable(mutation)
    made = {mutation(PLAN, random.Random(seed)) for seed in range(10)}
    assert len(made - {PLAN}) >= 5


def test_mutations_come_out_alike_from_the_same_seed() -> None:
    one, other = (mutate(PLAN, random.Random(3)) for _ in range(2))
    assert one == other


@pytest.mark.parametrize("text", ["", "x", "no digits and no values\n"])
def test_short_texts_can_be_spoilt_too(text: str) -> None:
    made = [mutate(text, random.Random(seed)) for seed in range(200)]
    assert all(isinstance(each, str) for each in made)


ODD_VALUES: tuple[object, ...] = (
    [],
    {},
    "",
    " ",
    0,
    -1,
    True,
    1.5,
    [[]],
    [{}],
    [""],
    "x",
    "5 t",
    {"a": 1},
    [1, 2],
)


def with_odd_value(document: object, rng: random.Random) -> object:
    """A document with one value, anywhere in it, replaced by one of another shape."""
    if rng.random() < 0.25 or not document or not isinstance(document, dict | list):
        return rng.choice(ODD_VALUES)
    if isinstance(document, list):
        at = rng.randrange(len(document))
        return [*document[:at], with_odd_value(document[at], rng), *document[at + 1 :]]
    name = rng.choice(list(document))
    return {**document, name: with_odd_value(document[name], rng)}


def check_odd_values(count: int, seed: int) -> None:
    rng = random.Random(seed)
    whole = tomllib.loads(PLAN)
    read = 0
    for _ in range(count):
        name = rng.choice(list(whole))
        document = {**whole, name: with_odd_value(whole[name], rng)}
        mistakes = mistakes_of(partial(read_document, document))
        check_reasons(mistakes)
        read += not mistakes
    assert 0 < read < count / 2


def test_a_value_of_another_shape_is_refused_with_reasons() -> None:
    check_odd_values(1000, seed=9)


@pytest.mark.long
def test_many_values_of_another_shape_are_refused_with_reasons() -> None:
    check_odd_values(30_000, seed=10)
