"""A sealed draw on the command line, from the commitment to the check of what was told."""

from datetime import UTC, datetime

from tests.cli.conftest import PLAN, Site, load
from tests.lots.mat import RULE

DRAWN = (
    RULE.replace("sublots = 5\n", 'sublots = 2\nnear = "30 t"\nspares = 1\n')
    .replace('size = "1000 t"', 'size = "200 t"')
    .replace('tell = ["contractor"]\n', "")
)


def laid(site: Site, number: int) -> None:
    """One load more, now: 22 t over 43 m."""
    ends = f"3+{43 * (number - 1):03}", f"3+{43 * number:03}"
    load(site, 100 + number, ends[1], f"from={ends[0]}", at=datetime.now(UTC).isoformat())


def told(site: Site) -> list[str]:
    return [one["number"] for one in site.json("show", "draw", "mat-1")["places"] if one["id"]]


def test_a_draw_keeps_its_order_and_is_checked_afterwards(site: Site) -> None:
    site.plan.write_text(PLAN.replace("[[plants]]", f"{DRAWN}[[plants]]", 1), encoding="utf-8")
    site.run("import", str(site.plan), "--by", "ana")
    site.add("shift-open", shift="2026-05-12/a/day", at="2026-05-12T06:30:00-03:00")
    assert "must be committed first" in site.run("draw", "tell", "mat-1", code=2).stderr
    site.run("draw", "commit", "mat-1", "--by", "ana")
    secret = next((site.folder / "home" / "draws").iterdir())
    assert secret.stat().st_mode & 0o077 == 0
    assert secret.read_text() not in site.run("show", "draw", "mat-1").stdout
    assert "done before" in site.run("draw", "commit", "mat-1", code=2).stderr
    site.run("draw", "contribute", "mat-1", "4711", "--by", "dale")
    assert "No place is near now." in site.run("draw", "tell", "mat-1").stdout
    for number in range(1, 11):
        laid(site, number)
        if number in (2, 6, 10):
            site.run("draw", "tell", "mat-1")
    assert sorted(told(site)) == ["1", "2"]
    assert "told and not tested" in site.run("draw", "blocked", "mat-1", "3", code=2).stderr
    assert "--why" in site.run("draw", "blocked", "mat-1", "2", code=2).stderr
    done = site.run("draw", "blocked", "mat-1", "2", "--why", "a manhole")
    assert "place 2 is blocked: a manhole" in " ".join(done.stdout.split())
    kept = secret.read_text()
    secret.unlink()
    assert "doesn’t hold" in site.run("draw", "reveal", "mat-1", code=2).stderr
    secret.write_text(kept)
    assert site.json("draw", "reveal", "mat-1")["fits"].startswith("The number revealed is the one")
    said = " ".join(site.run("show", "draw", "mat-1").stdout.split())
    assert said.count("m: they agree.") == 2
    assert "2026-05-12" not in said
    assert site.json("show", "draws")[0]["state"] == "revealed"
    secret.write_bytes(b"\xff")
    assert "can't be read" in site.run("show", "draw", "mat-1", code=2).stderr
