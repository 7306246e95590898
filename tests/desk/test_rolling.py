"""Rolling in words: each phase against the paver, what the plan lacks, what is rolled first."""

import pytest

from tests.desk.asked import ask
from tests.shift.cooled import PHASES, cooling, laid, rolled, roller
from tests.shift.site import PLAN, Site, clock

ORDERS = """
[[orders]]
id = "joint"
where = "cold joint"
first = "joint"
laps = "150 mm"
clause = "7.4"
[[orders]]
id = "free"
where = "free edge"
first = "edge last"
keeps_off = "300 mm"
source = "common practice, no published source"
[[orders]]
id = "crown"
where = "crown"
first = "edges"
"""


def lines(site: Site, minute: float = 56) -> list[str]:
    lane = ask(site, "mat", at=clock(minute).isoformat())["lanes"][0]
    return [one["words"] for one in lane["rolling"]]


def test_each_phase_is_said_with_its_lanes_passes_pace_and_chance() -> None:
    """Lane E is 3.5 m wide: three lanes of a 1.68 m drum at 150 mm (reference 5.3)."""
    (line,) = lines(laid(rolled()))
    assert line.startswith(
        "Breakdown: 1 roller, 3 lanes across, 12 passes a strip; can follow 5.3 m/min, 1 needed at "
    )
    assert line.endswith("of a hundred cases")
    cold = laid(rolled(phases=PHASES.replace('"110 degC"', '"150 degC"')))
    assert not lines(cold)[0].endswith("of a hundred cases"), "laid colder than the phase's own end"


def test_its_number_opens() -> None:
    site = laid(rolled())
    at = clock(56).isoformat()
    (one,) = ask(site, "mat", at=at)["lanes"][0]["rolling"]
    opened = ask(site, "figure", name=one["figure"], at=at)
    assert opened["value"] == "88 %"  # reference 5.4: utilisation 0.88
    needed = ask(site, "figure", name="rolling.needed/E/binder/breakdown", at=at)
    assert needed["value"] == "1"
    assert needed["title"] == "Rollers needed, Eastbound, Binder, Breakdown"


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        (rolled(phases=PHASES.replace('speed = "4.8 km/h"\n', "")), "the plan lacks its speed"),
        (rolled(pace=""), "the plan lacks the paver's pace"),
    ],
)
def test_what_the_plan_lacks_is_said(plan: str, said: str) -> None:
    site = Site(plan)
    site.lay(["21.00 t"])
    roller(site, 1, 10)
    (line,) = lines(site, 5)
    assert line == f"Breakdown: can't be reckoned, {said}"


def test_before_there_is_mat_the_phase_says_so() -> None:
    site = Site(rolled())
    site.lay(["21.00 t"])
    assert lines(site, 5) == ["Breakdown: no mat behind the paver now"]


def test_what_is_rolled_first_is_said_as_the_plan_has_it() -> None:
    site = Site(cooling(PLAN).replace("[[instruments]]", f"{ORDERS}[[instruments]]", 1))
    site.write("shift-open", {}, 0)
    assert ask(site, "mat")["orders"] == [
        "Cold joint: the joint first, the drum reaching 150 mm over it (7.4)",
        "Free edge: the edge last, the first passes staying 300 mm away from it "
        "(common practice, no published source)",
        "Crown: the edges first",
    ]
