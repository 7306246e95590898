"""Every value that a form allows is taken: no entry keeps a shift from being worked out."""

from itertools import product

import pytest

from matbook.book.kinds import kinds
from matbook.shift.measured import MEASURES
from tests.shift.site import Site, at


@pytest.mark.parametrize("kind", sorted(MEASURES))
def test_readings_at_the_ends_of_what_a_form_allows(kind: str) -> None:
    form = kinds()[kind].fields.values()
    said = {one.name: "R1" for one in form if one.need and one.type == "text"}
    sure = [one for one in form if one.need and one.type == "choice"]
    chosen = [{one.name: one.of[end] for one in sure} for end in (0, -1)]
    ends = [
        [(one.name, str(one.low)), (one.name, str(one.high))]
        for one in form
        if one.type == "quantity"
    ]
    tried = [said | one | dict(pairs) for one in chosen for pairs in [*product(*ends)][:128]]
    needed = {one.name for one in form if one.need}
    tried += [{name: one[name] for name in one if name in needed} for one in tried[::16]]
    site = Site()
    for n, body in enumerate(tried):
        site.write(kind, body, 10 + n / 100, place=at(40))
    list(site.view().calls)
    assert site.facts.of(kind), "some of them can stand together"
