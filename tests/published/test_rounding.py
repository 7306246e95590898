"""Rounding against agencies' printed examples.

The rows of rounding_published_examples.csv were gathered from agencies' rounding tests, chiefly
the examples of Alberta ATT-70/96 (ASTM E29, rounding method) [read]; the file does not name the
source row by row. Its `published` column is what the source prints; `half_up` and the flags were
worked out beside it.
"""

from decimal import Decimal

import pytest

from matbook.engine.rounding import exact, meets, places, round_to
from tests.published.printed import rows

EXAMPLES = rows("rounding_published_examples")
FAA = rows("rounding_faa")


@pytest.mark.parametrize("row", EXAMPLES + FAA, ids=lambda row: row["value"])
def test_ties_to_even_gives_what_is_printed(row: dict[str, str]) -> None:
    """ATT-70/96 and the FAA Item 110 course slides [read]: to the last digit printed."""
    found = round_to(row["value"], places(row["nearest"]), "half-even")
    assert str(found) == row["published"]


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["value"])
def test_ties_up_differs_where_flagged(row: dict[str, str]) -> None:
    """Iowa DOT IM 202 takes ties up [read]; on these values it differs just where flagged."""
    found = round_to(row["value"], places(row["nearest"]), "half-up")
    assert str(found) == row["half_up"]
    assert (str(found) != row["published"]) is (row["half_up_flag"] == "differs")


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["value"])
def test_why_binary_floats_are_refused(row: dict[str, str]) -> None:
    """Python's own rounding of floats misses the printed value just where flagged."""
    found = round(float(row["value"]), places(row["nearest"]))
    flagged = row["python_float_round_flag"] == "float differs"
    assert (Decimal(str(found)) != Decimal(row["published"])) is flagged


def test_iowa_four_inches() -> None:
    """Iowa DOT IM 202 [read]: at most 4 in, 4 1/4 passes; at most 4.0 in, it fails."""
    assert meets("4.25", "4", "max", "rounded", "half-up")
    assert not meets("4.25", "4.0", "max", "rounded", "half-up")


def test_michigan_square_yards() -> None:
    """Michigan DOT wiki [read]: 1,248.238 / 9 = 138.693, posted to 0.00 as 138.69."""
    quotient = Decimal("1248.238") / 9
    assert str(round_to(quotient, 3)) == "138.693"
    assert str(round_to(quotient, 2)) == "138.69"
    assert str(round_to(exact(1248.238 / 9), 2)) == "138.69"


def test_louisiana_cuts_on_the_way() -> None:
    """Louisiana DOTD, 30 January 2018 [read]: a value on the way to a result is cut, not rounded,
    two places beyond the answer (a percentage: four). The rule is theirs, the numbers are ours."""
    answer_places = 1
    on_the_way = round_to("2.45999", answer_places + 2, "truncate")
    assert str(on_the_way) == "2.459"
    assert str(round_to("2.45999", answer_places + 2)) == "2.460"
    assert str(round_to("92.456789", answer_places + 4, "truncate")) == "92.45678"
