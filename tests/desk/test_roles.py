"""What each role may write, see and ask, cell by cell."""

import pytest

from matbook.book.kinds import kinds
from matbook.desk.open_book import QUESTIONS
from matbook.desk.roles import may_see, may_write, views_for
from matbook.errors import NotFound
from tests.scribe import Scribe

CONTRACTOR_SEES = {
    "notice", "reply", "instruction", "disagreement", "shift-open", "shift-close", "seal",
}  # fmt: skip


@pytest.mark.parametrize("role", ["inspector", "technician", "supervisor", "contractor", "nobody"])
@pytest.mark.parametrize("kind", [*kinds()])
def test_who_may_write_and_see_each_kind(role: str, kind: str) -> None:
    entry = Scribe().write(kind, {})
    assert may_write(role, kind) == (role in kinds()[kind].writers)
    ours = role in ("inspector", "technician", "supervisor")
    assert may_see(role, entry) == (ours or kind in CONTRACTOR_SEES)


def test_a_contractor_answers_disagrees_signs_and_gives_their_own_numbers() -> None:
    assert {kind for kind in kinds() if may_write("contractor", kind)} == {
        "reply", "disagreement", "signature", "draw", "test-result",
    }  # fmt: skip


def test_nobody_writes_a_kind_that_is_not_known() -> None:
    with pytest.raises(NotFound):
        may_write("inspector", "nonsense")


def test_the_owners_people_ask_everything_and_others_what_is_up() -> None:
    assert views_for("inspector") == set(QUESTIONS)
    assert views_for("contractor") == {"now"}
