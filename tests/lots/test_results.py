"""What enters a lot, and what is kept beside it as what it is."""

import pytest

from matbook.book.entry import Entry
from matbook.lots.results import STATES, results
from matbook.lots.settling import settled
from tests.lots.mat import WITH_LOTS, Mat
from tests.shift.site import at


def states(mat: Mat) -> list[str]:
    return [one.state for one in settled(results(mat.work()))]


def only_value(mat: Mat) -> float:
    (one,) = results(mat.work())
    assert one.value is not None
    return one.value.value


def gauge(mat: Mat, minute: float = 90, **body: str) -> Entry:
    needs = {"basis": "maximum", "method": "gauge", "purpose": "acceptance"}
    return mat.site.write("density", {**needs, **body}, minute, by="tess", place=at(120))


GAUGE = WITH_LOTS.replace('unit = "%"\nsize', 'unit = "%"\nmethod = "gauge"\nsize', 1)


def test_a_core_from_a_drawn_place_counts() -> None:
    mat = Mat()
    mat.core("1", "2.3100")
    assert states(mat) == ["counts"]
    assert only_value(mat) == 92.4  # 2.31 / 2.500


def test_a_core_without_a_drawn_place_counts_for_no_lot() -> None:
    mat = Mat()
    mat.core("1", "2.3100", draw="")
    (one,) = mat.lots().loose
    assert (one.state, one.lot, one.rule.id) == ("not-drawn", "", "mat")
    assert mat.lots().lots == ()


@pytest.mark.parametrize("purpose", ["process", "verification", "information"])
def test_other_purposes_are_kept_as_what_they_are(purpose: str) -> None:
    mat = Mat()
    mat.core("1", "2.3100", purpose=purpose)
    assert states(mat) == [purpose]


def test_process_readings_at_places_that_nobody_drew_are_no_business_of_a_lot() -> None:
    mat = Mat(GAUGE)
    gauge(mat, percent="93.0 %", purpose="process")
    assert results(mat.work()) == ()


def test_a_density_of_another_layer_is_of_no_lot() -> None:
    mat = Mat(GAUGE)
    body = {"basis": "maximum", "method": "gauge", "purpose": "acceptance", "percent": "93.0 %"}
    mat.site.write("density", body, 90, by="tess", place=at(120, lift="surface"))
    assert results(mat.work()) == ()


def test_another_basis_or_method_doesnt_count() -> None:
    mat = Mat(GAUGE)
    gauge(mat, percent="99.0 %", basis="strip", draw=mat.place("1").id)
    mat.core("2", "2.3100")
    assert states(mat) == ["basis", "method"]


def test_a_sublot_that_isnt_in_the_plan() -> None:
    mat = Mat()
    mat.core("6", "2.3100")
    mat.core("no number", "2.3100")
    assert states(mat) == ["sublot", "not-drawn"]


def test_a_spare_counts_for_its_sublot() -> None:
    mat = Mat()
    mat.core("2/1", "2.3100")
    assert [one.sublot for one in results(mat.work()) if one.counts] == [2]


def test_a_second_result_of_a_sublot_is_a_retest() -> None:
    mat = Mat()
    mat.core("1", "2.3100", minute=100)
    mat.core("1", "2.3400", minute=130)
    assert states(mat) == ["counts", "retest"]


def test_a_core_that_the_laboratory_hasnt_weighed_waits() -> None:
    mat = Mat()
    body = {"core": "C1", "purpose": "acceptance", "draw": mat.place("1").id}
    mat.site.write("core", body, 100, by="tess", place=at(120))
    assert states(mat) == ["waiting"]
    result = {"test": "bulk  gravity", "value": "2.325 1", "sample": "C1", "purpose": "acceptance"}
    mat.site.write("test-result", result, 130, by="tess")
    assert only_value(mat) == 93.0


def test_a_core_heavier_in_water_than_in_air_is_said_and_counts_for_nothing() -> None:
    mat = Mat()
    mat.core("1", "2.3100", water="1100 g")
    (one,) = results(mat.work())
    assert one.state == "refused"
    assert "water" in one.why
    assert mat.lots().lots[0].worth.why == "lot.none"


def test_a_density_by_gauge_goes_by_the_lots_own_maximum_once_it_is_in() -> None:
    mat = Mat(GAUGE)
    gauge(mat, density="2300 kg/m3", percent="92.3 %", draw=mat.place("1").id)
    (before,) = results(mat.work())
    assert before.provisional
    assert before.value is not None
    assert before.value.value == 92.3  # 2300 / (2.500 x 997.1), WAQTC's water, by hand
    mat.maximum("2.480 1")
    (after,) = results(mat.work())
    assert not after.provisional
    assert after.value is not None
    assert after.value.value == 93.0  # 2300 / (2.480 x 997.1)


def test_a_percentage_without_a_density_stays_as_written() -> None:
    mat = Mat(GAUGE)
    gauge(mat, percent="92.34 %", draw=mat.place("1").id)
    mat.maximum("2.400 1")
    assert only_value(mat) == 92.3


def test_a_density_without_a_percentage_waits_where_nothing_gives_a_maximum() -> None:
    mat = Mat(GAUGE.replace('maximum_gravity = "2.500"\n', ""))
    gauge(mat, density="2300 kg/m3", draw=mat.place("1").id)
    mat.core("2", "2.3100")
    assert states(mat) == ["waiting", "method"]


def test_percent_of_strip_needs_no_maximum() -> None:
    mat = Mat(GAUGE.replace('method = "gauge"', 'method = "gauge"\nbasis = "strip"', 1))
    gauge(mat, percent="98.4 %", basis="strip", draw=mat.place("1").id)
    (one,) = results(mat.work())
    assert (one.state, one.provisional) == ("counts", False)


def test_several_maximum_gravities_make_a_mean() -> None:
    mat = Mat()
    mat.core("1", "2.3100")
    mat.maximum("2.490 1")
    mat.maximum("2.510 1", minute=160)
    assert only_value(mat) == 92.4
    assert not results(mat.work())[0].provisional


@pytest.mark.parametrize("value", ["250 %", "24.9 1"])
def test_a_maximum_gravity_in_another_form_isnt_taken(value: str) -> None:
    mat = Mat()
    mat.core("1", "2.3100")
    mat.maximum(value)
    assert results(mat.work())[0].provisional


def test_a_density_by_core_whose_core_is_in_the_book_isnt_counted_twice() -> None:
    mat = Mat()
    mat.core("1", "2.3100", core="C1")
    gauge(mat, percent="92.4 %", method="core", reference="C1", draw=mat.place("2").id)
    assert states(mat) == ["counts"]


def test_who_disagrees_is_shown_and_the_result_counts() -> None:
    mat = Mat()
    core = mat.core("1", "2.3100")
    mat.site.write("disagreement", {"about": core.id, "says": "Cut at the joint."}, 200, by="cole")
    (one,) = results(mat.work())
    assert (one.state, one.disputed) == ("counts", True)


def test_what_comes_later_than_now_isnt_known_yet() -> None:
    mat = Mat()
    mat.core("1", "2.3100", minute=100)
    assert results(mat.work(minute=99)) == ()


THICK = """
[[lots]]
id = "thick"
name = "Thickness"
lift = "binder"
characteristic = "thickness"
unit = "mm"
sublots = 3
lower = "45"
schedule = "florida-percent"
"""


def thickness(mat: Mat, value: str, sample: str = "", by: str = "tess", **body: str) -> None:
    said = {"test": "Thickness", "value": value, "purpose": "acceptance", "lot": "thick-1"}
    said |= {"sample": sample} if sample else {}
    mat.site.write("test-result", {**said, **body}, 150, by=by)


def test_other_tests_count_by_the_drawn_place_of_their_sample() -> None:
    mat = Mat(WITH_LOTS.replace("[[plants]]", f"{THICK}[[plants]]", 1))
    place = mat.place("2", "thick-1").id
    mat.site.write("sample", {"sample": "S1", "of": "mix", "draw": place}, 100, by="tess")
    thickness(mat, "4.9 cm", "S1")
    thickness(mat, "50 mm")
    thickness(mat, "50 degC", "S1", purpose="verification")
    thickness(mat, "51 mm", by="cole")
    thickness(mat, "52 degC", "S1")
    thickness(mat, "53 mm", "S1", test="rut depth")
    thickness(mat, "54 mm", "S1", lot="nothing-1")
    found = results(mat.work())
    assert sorted(one.state for one in found) == [
        "contractor", "counts", "not-drawn", "unit", "verification",
    ]  # fmt: skip
    found = tuple(one for one in found if one.counts)
    assert found[0].value is not None
    assert (found[0].value.value, found[0].value.unit, found[0].sublot) == (49.0, "mm", 2)


def test_every_state_has_its_words() -> None:
    from matbook.words import languages, sentences

    for language in languages():
        assert {f"lot.state.{state}" for state in STATES} <= sentences(language).keys()


def test_a_correction_without_a_value_contests_with_none() -> None:
    mat = Mat(GAUGE)
    first = gauge(mat, percent="92.34 %", draw=mat.place("1").id)
    rest = {name: value for name, value in first.body.items() if name != "percent"}
    for by, more in (("greta", {"percent": "92.6 %"}), ("tess", {})):
        body = {**rest, **more}
        mat.site.write(
            "density", body, 100, by=by, strikes=first.id, why="read again", place=at(120)
        )
    (one,) = results(mat.work())
    assert len(one.fact.contenders) == 1
    assert one.contested == ()


def test_the_contractors_maximum_gravity_is_not_the_lots() -> None:
    mat = Mat()
    mat.core("1", "2.3100")
    body = {"test": "Maximum gravity", "value": "2.400 1", "purpose": "acceptance", "lot": "mat-1"}
    mat.site.write("test-result", body, 150, by="cole")
    (one,) = results(mat.work())
    assert one.provisional
    assert one.value is not None
    assert one.value.value == 92.4
