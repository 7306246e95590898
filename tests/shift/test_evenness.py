"""How evenly warm the surface is behind the screed."""

import pytest

from matbook.shift.evenness import unevenness
from matbook.shift.figure import Read
from tests.shift.cooled import cooling, laid, skin, uneven
from tests.shift.site import PLAN, Site


def site(plan: str = "") -> Site:
    return laid(plan or cooling(uneven(PLAN)))


def test_across_is_all_that_one_entry_lists() -> None:
    one = site()
    entry = skin(one, 12, 60, "141 degC", across=["139 degC", "122 degC", "140 degC"])
    (found,) = unevenness(one.facts)
    assert (found.way, found.station, found.value.value) == ("across", "0+060.0", 19.0)
    call = one.call("mat.uneven", 20)
    assert (call.grade, call.tell, call.entries) == ("watch", ("cole",), (entry.id,))
    assert call.says["way"] == "across"


def test_two_limits_class_it() -> None:
    """Beyond the second one the graver call leads; both say their own limit."""
    one = site()
    skin(one, 12, 60, "141 degC", across=["110 degC"])
    assert [call.grade for call in one.calls("mat.uneven", 20)] == ["act", "watch"]
    fine = site()
    skin(fine, 12, 60, "141 degC", across=["127 degC"])
    assert not fine.calls("mat.uneven", 20)  # 14 °C apart is not beyond 14
    assert unevenness(fine.facts)[0].judgements[0].ok


def test_along_is_the_widest_within_a_length_before_it() -> None:
    one = site()
    skin(one, 12, 40, "150 degC")
    skin(one, 13, 60, "141 degC")
    skin(one, 14, 80, "125 degC")
    skin(one, 15, 100, "130 degC")
    values = [(found.station, found.value.value) for found in unevenness(one.facts)]
    assert values == [
        ("0+040.0 – 0+060.0", 9.0),
        ("0+040.0 – 0+080.0", 25.0),
        ("0+060.0 – 0+100.0", 11.0),
    ]
    assert one.call("mat.uneven", 20).says["station"] == "0+040.0 – 0+080.0"


def test_the_length_is_the_plans() -> None:
    far = cooling(uneven(PLAN)).replace(
        'station_error = "0.5 m"', 'station_error = "0.5 m"\neven_within = "100 m"'
    )
    near, wide = site(), site(far)
    for one in (near, wide):
        skin(one, 12, 20, "150 degC")
        skin(one, 22, 90, "125 degC")
    assert unevenness(near.facts) == ()
    assert [found.value.value for found in unevenness(wide.facts)] == [25.0]


@pytest.mark.parametrize(
    "body",
    [
        {"how": "probe"},
        {"water": "steam"},
        {"stage": "mat"},
    ],
)
def test_only_the_dry_skin_behind_the_screed_speaks_of_the_surface(body: dict[str, str]) -> None:
    one = site()
    skin(one, 12, 60, "141 degC", **body, across=["110 degC"])
    skin(one, 13, 70, "141 degC")
    assert unevenness(one.facts) == ()


def test_other_lanes_and_places_that_cannot_be_read_are_kept_apart() -> None:
    one = site()
    skin(one, 12, 60, "150 degC")
    said = {"stage": "laydown", "temp": "110 degC", "how": "infrared", "water": "none"}
    one.write("temperature", said, 13, place={"lane": "W", "station": "1+950"})
    one.write("temperature", {**said, "across": ["112 degC"]}, 14, place={"lane": "E"})
    (found,) = unevenness(one.facts)
    assert (found.way, found.value.value) == ("across", 2.0)


def test_its_figure_opens_to_the_readings() -> None:
    one = site()
    first, second = skin(one, 12, 40, "150 degC"), skin(one, 13, 60, "141 degC")
    figures = dict(one.view(20).figures())
    figure = figures[f"uneven/{second.id}/along"]
    opened = figure.open()
    assert opened["value"] == "9"
    assert opened["formula"] == "hottest - coldest"
    reads = [one for one in figure.inputs.values() if isinstance(one, Read)]
    assert {read.entry for read in reads} == {first.id, second.id}
    assert not [limit for limit in one.view(20).unjudged if "surface" in limit.quantity]
