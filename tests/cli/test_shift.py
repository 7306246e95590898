"""A whole shift on the command line, as a newcomer would type it; and what is refused."""

from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner

from matbook.cli import main
from matbook.plan.starter import starter
from tests.cli.conftest import LOAD, Site, load

TICKETS = """Ticket No;Date;Time;Truck;Mix;Net (t)
101;12.05.2026;07:02;12;AC 16;22,40
102;12.05.2026;07:11;14;AC 16;21,96
103;12.05.2026;07:19;12;AC 16;a lot
"""


def test_a_whole_shift_from_nothing(open_shift: Site, tmp_path: Path) -> None:
    site = open_shift
    first = load(site, 101, "3+043", "from=3+000", at="2026-05-12T07:30:00-03:00")
    load(site, 102, "3+086", at="2026-05-12T07:36:00-03:00")
    wrong = load(site, 104, "3+192", at="2026-05-12T07:42:00-03:00")
    load(
        site, 104, "3+129", strikes=wrong, why="read the peg wrong", at="2026-05-12T07:42:00-03:00"
    )
    told = site.add(
        "notice", "to=dale", "how=spoken", "text=Ticket 103 is missing. Asked: where is it?"
    )
    state = site.json("show")
    assert {call["id"].split(":")[0] for call in state["calls"]} >= {
        "ticket.missing",
        "notice.unanswered",
    }
    assert [answer["name"] for answer in state["answers"]] == [
        "load", "yield", "haul", "rolling", "density", "due",
    ]  # fmt: skip
    assert site.json("show", "loads")[0]["state"] == "placed"
    opened = site.json("show", "figure", "yield.shift/rate")
    assert opened["source"]
    assert opened["inputs"]["mass_kg"]["count"] == 3
    assert site.json("show", "entry", wrong)["state"] == "struck"
    for view in (
        "now",
        "loads",
        "yield",
        "pavers",
        "due",
        "told",
        "score",
        "joints",
        "lists",
        "haul",
        "placement",
        "guide",
        "entries",
        "figures",
        "shifts",
    ):
        assert site.run("show", view).stdout.strip()
    assert "22.00" in site.run("show", "entry", first).stdout
    assert "mass / area" in site.run("show", "figure", "yield.shift/rate").stdout
    site.add("reply", f"notice={told}", "from=dale", "text=Printer jam.", "settles=yes")
    closed = site.json("add", "shift-close", "--by", "ana", "--at", "2026-05-12T17:00:00-03:00")
    assert len(closed["seal"]) == 64
    record = tmp_path / "record.pdf"
    made = site.json("report", "-o", str(record))
    assert made["seal"] == closed["seal"]
    assert site.json("verify", str(record))["proven"] is True
    bundle = tmp_path / "shift.zip"
    site.run("export", "bundle", "-o", str(bundle))
    assert site.json("verify", str(bundle))["proven"] is True


def test_the_shift_as_it_was_known_earlier(open_shift: Site) -> None:
    load(open_shift, 101, "3+043", "from=3+000")
    assert open_shift.json("show", "loads", "--at", "2026-05-12T07:00:00-03:00") == []


def test_a_bundle_carries_a_book_to_another_machine(open_shift: Site, tmp_path: Path) -> None:
    load(open_shift, 101, "3+043", "from=3+000")
    bundle, lines = tmp_path / "a.zip", tmp_path / "a.jsonl"
    open_shift.run("export", "bundle", "-o", str(bundle))
    open_shift.run("export", "lines", "-o", str(lines))
    (tmp_path / "other").mkdir()
    other = Site(tmp_path / "other")
    assert other.json("import", str(bundle))[0]["kept"] == 3
    assert other.json("import", str(lines))[0] == {
        "file": str(lines), "what": "entries", "kept": 0, "had": 3, "refused": 0, "where": "",
        "tried": False,
    }  # fmt: skip
    assert other.json("show", "loads") == open_shift.json("show", "loads")


def test_tables_go_out(open_shift: Site, tmp_path: Path) -> None:
    load(open_shift, 101, "3+043", "from=3+000")
    open_shift.run("export", "csv", "-o", str(tmp_path / "tables"))
    names = sorted(file.name for file in (tmp_path / "tables").iterdir())
    assert names == ["entries.csv", "loads.csv", "readings.csv", "yield.csv"]
    assert "101" in (tmp_path / "tables" / "loads.csv").read_text(encoding="utf-8-sig")
    open_shift.run("export", "xlsx", "-o", str(tmp_path / "shift.xlsx"))
    assert (tmp_path / "shift.xlsx").read_bytes()[:2] == b"PK"


def test_tickets_come_in_once_and_the_rest_goes_to_quarantine(
    open_shift: Site, tmp_path: Path
) -> None:
    file = tmp_path / "tickets.csv"
    file.write_text(TICKETS, encoding="utf-8")
    tried = open_shift.run("import", str(file), "--by", "tess", "--dry-run", code=1)
    assert "Net (t)" in tried.output
    assert open_shift.json("show", "loads") == []
    taken = open_shift.json("import", str(file), "--by", "tess", code=1)[0]
    assert (taken["kept"], taken["had"], taken["refused"]) == (2, 0, 1)
    again = open_shift.json("import", str(file), "--by", "tess", code=1)[0]
    assert (again["kept"], again["had"], again["refused"]) == (0, 2, 1)
    aside = (tmp_path / "tickets.quarantine.csv").read_text(encoding="utf-8-sig")
    assert "a lot" in aside
    assert [load["net"] for load in open_shift.json("show", "loads")] == ["22.40 t", "21.96 t"]


def test_the_starter_plan_is_a_plan(site: Site, tmp_path: Path) -> None:
    for units in ("metric", "us"):
        file = tmp_path / f"{units}.toml"
        site.run("init", str(file), "--units", units)
        assert file.read_text(encoding="utf-8") == starter("us" if units == "us" else "metric")
        assert site.json("import", str(file), "--dry-run")[0]["kept"] == 1
    assert "already there" in site.run("init", str(file), code=2).output
    assert "can't be written" in site.run("init", str(tmp_path / "no" / "x.toml"), code=2).output


def test_a_plan_is_imported_once(open_shift: Site) -> None:
    assert open_shift.json("import", str(open_shift.plan))[0]["had"] == 1


def test_forms_teach_themselves(site: Site) -> None:
    kinds = site.run("add").stdout
    assert "loose-depth" in kinds
    form = site.run("add", "load").stdout
    assert "taken, turned away, void" in form
    assert "needed" in form


def test_an_unusual_value_is_kept_and_named(open_shift: Site) -> None:
    done = open_shift.run("add", "load", *LOAD, "ticket=9", "net=60.0 t", "--by", "ana")
    assert "Kept as written, but unusual: net" in done.output


REFUSED = [
    (("add", "lod", "x=1"), "no kind of entry called “lod”"),
    (("add", "load", "ticket"), "an equals sign"),
    (("add", "load", "colour=red"), "takes plant, ticket"),
    (("add", "load", "plant=hill", "decision=maybe", "--by", "ana"), "taken, turned away, void"),
    (("add", "load", "plant=hill", "decision=taken", "net=22", "--by", "ana"), "its unit"),
    (("add", "note", "text=x", "--by", "ana", "--at", "25:99"), "14:05"),
    (("add", "note", "text=x", "--by", "ana", "--strikes", "abc"), "go together"),
    (("add", "note", "text=x", "--job", "other"), "There is no job “other”"),
    (("add", "note", "text=x", "--shift", "2020-01-01/a/day"), "There is no shift"),
    (("add", "shift-open", "note=x", "--shift", "tomorrow", "--by", "ana"), "working date"),
    (("show", "figure", "nothing"), "There is no figure “nothing”"),
    (("show", "entry"), "There is no entry"),
    (("show", "--shift", "never"), "There is no shift"),
    (("verify", "nowhere.pdf"), "can't be read"),
    (("import", "nowhere.csv"), "can't be read"),
    (("report", "-o", "no/such/folder/x.pdf"), "can't be written"),
    (("export", "lines", "-o", "/proc/x"), "can't be written"),
]


@pytest.mark.parametrize(("arguments", "says"), REFUSED)
def test_every_refusal_is_one_sentence(
    open_shift: Site, arguments: tuple[str, ...], says: str
) -> None:
    done = open_shift.run(*arguments, code=2)
    assert says in done.output
    assert "Traceback" not in done.output


def test_what_cannot_be_a_plan_or_a_bundle_says_so(site: Site, tmp_path: Path) -> None:
    for name, raw, says in (
        ("a.toml", b"\xff\xfe", "not UTF-8"),
        ("b.toml", b"matbook = ", "not TOML"),
        ("c.toml", b"matbook = 1\n", "job is missing"),
        ("d.zip", b"PK nonsense", "can't be read as a bundle"),
        ("e.jsonl", b"", "no line in it"),
    ):
        (tmp_path / name).write_bytes(raw)
        assert says in site.run("import", str(tmp_path / name), code=2).output
    (tmp_path / "f.jsonl").write_bytes(b'{"hash":"x","text":"{}"}\nnot json\n')
    assert site.json("import", str(tmp_path / "f.jsonl"), code=1)[0]["refused"] == 2


def test_nothing_to_verify_is_not_proven(site: Site, tmp_path: Path) -> None:
    (tmp_path / "x.txt").write_text("hello")
    assert "neither a daily record" in site.run("verify", str(tmp_path / "x.txt"), code=2).output
    (tmp_path / "y.pdf").write_bytes(b"%PDF-1.7 nonsense")
    assert "NOT PROVEN" in site.run("verify", str(tmp_path / "y.pdf"), code=3).output
    (tmp_path / "folder").mkdir()
    assert "not a bundle" in site.run("verify", str(tmp_path / "folder"), code=2).output


def test_an_empty_book_says_what_to_do(site: Site) -> None:
    assert "There is no book in" in site.run("show", code=2).stderr
    site.run("import", str(site.plan), "--by", "ana")
    assert "begin one with" in site.run("show", code=2).output


def test_a_home_that_cannot_be_one_says_so(tmp_path: Path) -> None:
    (tmp_path / "home").write_text("a file")
    done = CliRunner().invoke(main, ["--home", str(tmp_path / "home"), "show"])
    assert done.exit_code == 2
    assert "can't be used" in done.output


def test_the_record_names_the_limits_it_judges_nothing_by(site: Site, tmp_path: Path) -> None:
    limit = '[[limits]]\nid = "gross"\nquantity = "mass.gross"\nside = "max"\nnumber = "44"\n'
    text = site.plan.read_text(encoding="utf-8")
    row = f'{limit}unit = "t"\ngrade = "act"\nsource = "agreed"\n\n'
    site.plan.write_text(text.replace("[[checks]]", f"{row}[[checks]]", 1), encoding="utf-8")
    site.run("import", str(site.plan), "--by", "ana")
    site.add("shift-open", shift="2026-05-12/a/day", at="2026-05-12T06:30:00-03:00")
    site.run("report", "--unsigned", "-o", str(tmp_path / "draft.pdf"))
    pages = pypdfium2.PdfDocument(tmp_path / "draft.pdf")
    printed = " ".join(" ".join(p.get_textpage().get_text_range().split()) for p in pages)
    assert "judges nothing by them: Truck and load together at most 44 t" in printed
    site.run("report", "--unsigned", "--language", "es", "-o", str(tmp_path / "draft.pdf"))
    (first, *_) = pypdfium2.PdfDocument(tmp_path / "draft.pdf")
    assert "Registro diario" in first.get_textpage().get_text_range()
