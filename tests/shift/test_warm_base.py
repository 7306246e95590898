"""What a mat is laid on: a lift of the same shift that is still warm, a damp or a frozen base."""

from tests.shift.cooled import cooling, laid, read_on
from tests.shift.site import Site, clock, on

ENDS = 'name = "AC 8 surface"\nrolling_ends = "80 degC"'
TWO_LIFTS = cooling().replace('name = "AC 8 surface"', ENDS, 1)


def second(minute: float, loads: int = 3) -> Site:
    """The surface course on the binder of the same shift, from a minute on."""
    site = laid(TWO_LIFTS, loads=3)
    for n in range(loads):
        place = on("E", "surface", n * 50, (n + 1) * 50, "P2")
        site.load(str(201 + n), minute + 10 * n, mix="ac8", temp="150 degC", place=place)
    return site


def middles(site: Site, lift: str, minute: float = 400) -> list[float]:
    """The middle times from laying of a lift's pieces [s]."""
    laid_mats = [mat for mat in site.view(minute).mats if mat.piece.lift == lift]
    return [left.middle for mat in laid_mats if (left := mat.left()) is not None]


def alone() -> Site:
    """The surface course where nothing else was laid this shift."""
    site = laid(TWO_LIFTS, loads=0)
    place = on("E", "surface", 0, 50, "P2")
    site.load("201", 60, mix="ac8", temp="150 degC", place=place)
    return site


def test_a_lift_on_a_warm_one_has_longer_than_on_a_cold_base() -> None:
    (cold,) = middles(alone(), "surface")
    soon, later = middles(second(60), "surface"), middles(second(180), "surface")
    assert all(time > 1.1 * cold for time in soon)
    assert soon[0] > later[0] > cold
    assert middles(second(60), "binder") == middles(laid(TWO_LIFTS, loads=3), "binder")


def test_it_lies_on_the_mat_that_was_laid_where_it_lies() -> None:
    mats = {m.piece.part.load.number: m for m in second(60, loads=4).view(400).mats}
    assert mats["202"].on is mats["102"]
    assert mats["204"].on is None  # beyond the end of the binder
    assert mats["101"].on is None


def test_lifts_that_are_about_as_old_and_as_hot_share_forecasts() -> None:
    """Loads come evenly: every piece lies on one that is about as old."""
    uppers = [mat for mat in second(60).view(400).mats if mat.piece.lift == "surface"]
    assert len({id(mat.family) for mat in uppers[1:]}) == 1


def test_a_lift_is_never_laid_on_one_that_is_hotter() -> None:
    """A binder minutes old is no base for colder mix: somebody misread a place or a time."""
    site = laid(TWO_LIFTS, loads=3)
    place = on("E", "surface", 100, 150, "P2")
    site.load("201", 20, mix="ac8", temp="100 degC", place=place)
    assert "201" not in {mat.piece.part.load.number for mat in site.view(400).mats}


def test_a_reading_is_of_the_lift_it_names_or_of_the_uppermost() -> None:
    site = second(60)
    read_on(site, 66, 20, "120 degC")  # on the binder, as its place says
    read_on(site, 66, 20, "120 degC", place={"lane": "E", "station": "0+020.0"})
    lifts = [one.mat.piece.lift for one in site.view(400).checked.readings]
    assert lifts == ["binder", "surface"]
    assert site.view(66).now == clock(66)
