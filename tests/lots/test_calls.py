"""What of a lot needs a person: its trend, the stop rule, single values, results left out."""

import re
from functools import cache

import pytest

from matbook.lots.calls import calls
from matbook.shift.calls import Call
from matbook.shift.speak import spoken
from matbook.words import languages, sentences
from tests.lots.mat import WITH_LOTS, Mat
from tests.shift.site import clock

IN_DOUBT = WITH_LOTS.replace('size = "1000 t"', 'size = "100 t"\noutlier = "0.05"', 1).replace(
    "[[lots]]",
    '[[deductions]]\nid = "streaks"\nname = "Streaks"\nlots = "mat"\nsign = "Cold  streak"\n'
    'each = "500.00"\n[[lots]]',
    1,
)


def called(mat: Mat, minute: float = 600) -> dict[str, Call]:
    work = mat.work(minute)
    return {call.code: call for call in calls(work.plan, mat.lots(minute), work.now)}


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
    assert by_cores(91.0, 91.2).keys() == {"lot.stop-early"}


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


@cache
def every_call() -> dict[str, tuple[Mat, Call]]:
    """Each call of lots once, made by a lot that gives rise to it."""
    rejecting = WITH_LOTS.replace('"florida-percent"', '"faa-p-401"')
    made = [(WITH_LOTS, values) for values in (
        (92.4, 93.1, 91.2, 92.8, 91.9), (91.4, 92.9), (91.0, 91.2, 90.9, 91.1, 91.0),
        (91.5, 92.2, 91.6, 92.1), (91.0, 91.2), (89.9,),
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
    small = Mat(WITH_LOTS.replace('size = "1000 t"', 'size = "15 t"', 1))
    small.site.lay(["21.00 t"])
    found.update({code: (small, call) for code, call in called(small).items()})
    doubted = in_doubt()
    found.update({code: (doubted, call) for code, call in called(doubted, 2900).items()})
    return found


def in_doubt() -> Mat:
    """Five low cores, one far from the rest, one cut in another sublot; a streak nobody placed."""
    mat = Mat(IN_DOUBT)
    mat.site.lay(["20.00 t"] * 5)
    mat.cores(91.4, 91.3, 91.4, 91.3, 89.0)  # the fifth at 105 m, in the third sublot
    streak = {"sign": "cold streak"}
    mat.site.write("defect", streak, 200, place={"lane": "E", "from": "1+900.0", "to": "1+930.0"})
    return mat


def test_the_end_of_the_time_to_ask_for_a_retest_is_called() -> None:
    """48 h from the last result, at 105 min; called over its last quarter."""
    mat = in_doubt()
    until = 105 + 48 * 60
    assert "lot.challenge" not in called(mat, until - 12 * 60 - 1)
    call = called(mat, until - 12 * 60)["lot.challenge"]
    assert (call.says["until"], call.tell) == ("2026-05-14 08:45", ("cole",))
    assert "lot.challenge" in called(mat, until)
    assert "lot.challenge" not in called(mat, until + 1)


def test_of_a_lot_paid_in_full_nobody_is_told_of_it() -> None:
    mat = Mat()
    mat.cores(93.4, 93.9, 93.1, 93.6, 93.5)
    assert called(mat, 105 + 48 * 60) == {}


def test_an_outlier_is_said_with_grubbs_limit() -> None:
    """Critical value of five results, both sides at 0.05: 1.7150 (references, section 3)."""
    call = called(in_doubt())["lot.outlier"]
    assert (call.says["sublot"], call.says["result"]) == ("5", "89.0 %")
    assert call.says["critical"] == "1.72"


def test_a_place_that_was_laid_in_another_sublot_is_said() -> None:
    """Cores at 101 to 105 m lie in the third sublot, 100 to 150 m; the paver holds 6 t, or 15 m."""
    mat = in_doubt()
    found = calls(mat.work().plan, mat.lots(), mat.work().now)
    said = [call.says for call in found if call.code == "lot.elsewhere"]
    assert [(one["sublot"], one["laid_sublot"]) for one in said] == [("1", "3"), ("4", "3"),
                                                                     ("5", "3")]  # fmt: skip


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
