"""What of a lot needs a person: its trend, the stop rule, single values, results left out."""

import re

import pytest

from matbook.lots.calls import calls
from matbook.shift.calls import Call
from matbook.shift.speak import spoken
from matbook.words import languages, sentences
from tests.lots.mat import WITH_LOTS, Mat
from tests.shift.site import clock


def called(mat: Mat) -> dict[str, Call]:
    work = mat.work()
    return {call.code: call for call in calls(work.plan, mat.lots())}


def by_cores(*percents: float, plan: str = WITH_LOTS) -> dict[str, Call]:
    mat = Mat(plan)
    mat.cores(*percents)
    return called(mat)


def test_a_good_lot_calls_for_nothing() -> None:
    assert by_cores(93.4, 93.9, 93.1, 93.6, 93.5) == {}


def test_one_result_under_the_limit_of_the_lot_is_no_failure() -> None:
    assert by_cores(91.5) == {}


def test_a_failing_trend_is_said_with_its_range() -> None:
    call = by_cores(92.4, 93.1, 91.2, 92.8, 91.9)["lot.failing"]
    assert (call.grade, call.subject, call.tell) == ("watch", "mat-1", ("cole",))
    said = call.says
    assert (said["within"], said["from_pct"], said["to_pct"]) == ("63.1", "29", "90")
    assert len(call.entries) == 5


def test_two_results_say_only_what_is_expected() -> None:
    assert by_cores(91.4, 92.9).keys() == {"lot.failing-early"}
    assert by_cores(93.4, 93.9) == {}


def test_the_owners_stop_rule_reached_and_near() -> None:
    stopped = by_cores(91.0, 91.2, 90.9, 91.1, 91.0)["lot.stop"]
    assert (stopped.grade, stopped.says["stop"]) == ("act", "0.70")
    assert by_cores(91.5, 92.2, 91.6, 92.1)["lot.stop-near"].grade == "watch"
    assert by_cores(91.0, 91.2).keys() == {"lot.stop-near"}


def test_without_a_stop_rule_none_is_near() -> None:
    plan = WITH_LOTS.replace('stop = "0.70"\n', "")
    assert by_cores(91.0, 91.2, 90.9, plan=plan).keys() == {"lot.failing"}


def test_a_lot_that_the_schedule_rejects() -> None:
    plan = WITH_LOTS.replace('"florida-percent"', '"faa-p-401"')
    assert by_cores(91.0, 91.2, 90.9, plan=plan)["lot.rejected"].grade == "act"


def test_a_single_result_below_the_floor_of_the_plan() -> None:
    call = by_cores(89.9)["lot.floor"]
    assert (call.grade, call.says["result"], call.says["floor"]) == ("act", "89.9 %", "90.0 %")
    assert by_cores(90.0) == {}
    assert by_cores(89.9, plan=WITH_LOTS.replace('floor = "90.0"\n', "")) == {}


@pytest.mark.parametrize("sublot", ["9", "none"])
def test_an_acceptance_result_that_counts_nowhere_is_said(sublot: str) -> None:
    mat = Mat()
    mat.core(sublot, "2.31")
    assert called(mat)["lot.left-out"].says["lot"] == "mat-1"


def test_so_is_one_without_a_lot() -> None:
    mat = Mat()
    mat.core("1", "2.31", draw="")
    call = called(mat)["lot.left-out"]
    assert (call.says["lot"], call.says["lot_state"]) == ("Mat density", "not-drawn")


def every_call() -> dict[str, tuple[Mat, Call]]:
    """Each call of lots once, made by a lot that gives rise to it."""
    rejecting = WITH_LOTS.replace('"florida-percent"', '"faa-p-401"')
    made = [(WITH_LOTS, values) for values in (
        (92.4, 93.1, 91.2, 92.8, 91.9), (91.4, 92.9), (91.0, 91.2, 90.9, 91.1, 91.0),
        (91.5, 92.2, 91.6, 92.1), (89.9,),
    )]  # fmt: skip
    found = {}
    for plan, values in [*made, (rejecting, (91.0, 91.2, 90.9))]:
        mat = Mat(plan)
        mat.cores(*values)
        found.update({code: (mat, call) for code, call in called(mat).items()})
    mat = Mat()
    mat.core("1", "2.31", draw="")
    mat.core("2", "2.31", water="1100 g")
    found.update({code: (mat, call) for code, call in called(mat).items()})
    return found


CODES = sorted(
    code.removeprefix("call.").removesuffix(".line")
    for code in sentences("en")
    if re.fullmatch(r"call\.lot\..+\.line", code)
)


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("code", CODES)
def test_every_call_reads_as_a_sentence(code: str, language: str) -> None:
    mat, call = every_call()[code]
    words = spoken(call, mat.work().plan, clock(240), language)
    assert words.head
    assert words.line[-1] == "."
    for text in (words.head, words.line, words.small):
        assert not re.search(r"[{}]|  |\bNone\b| [.,]", text), text
        assert text == text.strip()


def test_every_call_has_its_sentence() -> None:
    assert sorted(every_call()) == CODES
