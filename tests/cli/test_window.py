"""matbook window: with a plan and without, on the screen, as a page, and with bad values."""

import json
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner, Result

from matbook.cli import main
from matbook.plan.reader import read_plan
from matbook.plan.starter import starter

ALONE = (
    *("window", "--thickness", "50 mm", "--mix-temp", "150 degC", "--base-temp", "15 degC"),
    *("--air", "15 degC", "--wind", "3 m/s", "--sky", "clear", "--ends", "80 degC"),
    *("--latitude", "45", "--longitude=-64", "--at", "2026-06-16T10:00-03:00"),
)
ONE_HOUR = ("--until", "2026-06-16T10:30-03:00")


def run(home: Path, *arguments: str, code: int = 0) -> Result:
    done = CliRunner().invoke(main, ["--home", str(home), *arguments])
    assert done.exit_code == code, (arguments, done.output, done.exception)
    return done


def test_it_needs_no_book(tmp_path: Path) -> None:
    said = run(tmp_path, *ALONE, *ONE_HOUR).stdout
    assert said.startswith("Can we pave?\n\nDense hot mix, 50 mm, 150 °C behind the screed")
    assert "10:00  15 °C, wind 11 km/h, clear, base" in said
    assert "○ not held against the rollers" in said
    assert not (tmp_path / "books.sqlite").exists()


def test_with_a_plan_the_rollers_and_the_owners_limits_are_held_against_it(tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text(starter("metric"), encoding="utf-8")
    run(tmp_path, "import", str(plan))
    page = tmp_path / "window.pdf"
    weather = ("--hour", "07:00,-9 degC,3 m/s,clear", "--hour", "08:00,-8 degC")
    asked = ("window", "--mix-temp", "150 degC", "--thickness", "50 mm", *weather)
    said = run(tmp_path, *asked, "--opens", "20:00", "-o", str(page)).stdout
    assert "Breakdown: needs" in said
    assert "Cold joint: the joint first, the drum reaching 150 mm over it" in said
    assert said.rstrip().endswith(f"Wrote {page}")
    document = pypdfium2.PdfDocument(page)
    assert len(document) == 1
    words = document[0].get_textpage().get_text_bounded()
    assert "Can we pave?" in words
    assert "What the rollers need, and what works" in words
    assert "Example plan: replace every name and number." in words


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--wind", "80 m/s"), "wind is “80 m/s”; a speed from 0 m/s to 30 m/s, with its unit."),
        (("--base-temp", "70 degC", "--mix-temp", "60 degC", "--ends", "50 degC"),
         "start_c is “70 °C below the lift”; no base hotter than the mix, which is at 60 °C."),
        (("--thickness", "0 mm"), "thickness is “0 mm”; a length from 10 mm to 150 mm"),
        (("--hour", "07:00"), "--hour is “07:00”; time,air[,wind[,sky[,base]]]"),
        (("--at", "half past"), "at is “half past”; a time such as 07:30, or a whole date"),
    ],
)  # fmt: skip
def test_bad_values_get_a_sentence_and_no_curve(
    tmp_path: Path, more: tuple[str, ...], said: str
) -> None:
    asked = [part for part in ALONE if more[0] != "--thickness" or part != "50 mm"]
    if more[0] == "--thickness":
        asked.remove("--thickness")
    done = run(tmp_path, *asked, *ONE_HOUR, *more, code=2)
    assert done.stdout == ""
    assert said in done.stderr


def test_json_is_the_same_answer(tmp_path: Path) -> None:
    found = json.loads(run(tmp_path, *ALONE, *ONE_HOUR, "--json").stdout)
    assert found["rows"][0]["at"] == "10:00"
    assert {one["state"] for one in found["rows"][0]["cells"]} == {"unknown"}


def test_trucks_and_pace_before_the_shift(tmp_path: Path) -> None:
    """2,200 ton in 10 h, 20 ton, 85 min: 16 trucks (a mix delivery production form)."""
    form = ("--mass", "2200 ton", "--hours", "10 h", "--load", "20 ton", "--cycle", "85 min")
    said = run(tmp_path, "trucks", *form, "--trucks", "14").stdout
    assert said.startswith("Trucks and pace\n\n")
    assert "16 trucks by the round alone" in said
    assert json.loads(run(tmp_path, "trucks", *form, "--json").stdout)["trucks"] == 16
    wrong = run(tmp_path, "trucks", "--mass", "x", code=2).output
    assert "mass is “x”; a mass from 1 t to 100000 t, with its unit." in wrong


def test_a_profile_with_a_gap_is_measured_in_pieces_and_kept(tmp_path: Path) -> None:
    """A flat profile has no roughness at all; what is too short says so, and is kept too."""
    rows = [f"{n / 10:.1f},0.0" for n in range(600)]
    rows[300] = "30.0,"
    rows[310] = "31.0,"
    profile = tmp_path / "right.csv"
    profile.write_text("\n".join(["x,mm", *rows]), encoding="utf-8")
    said = run(tmp_path, "profile", str(profile), "--section", "10 m", code=1).stdout
    assert "0 to 29.9 m: IRI 0.00 m/km" in said
    assert "30.1 to 30.9 m: no index." in said
    assert "a gap at 30.000 m" in said
    plan = tmp_path / "plan.toml"
    plan.write_text(starter("metric"), encoding="utf-8")
    run(tmp_path, "import", str(plan))
    who = next(iter(read_plan(starter("metric")).people))
    run(tmp_path, "add", "shift-open", "--by", who)
    keep = ("profile", str(profile), "--keep", "path=right", "--by", who)
    assert "from is “”" in run(tmp_path, *keep, code=2).output
    assert "fields is “x”" in run(tmp_path, *keep, "x=1", code=2).output
    lane = next(iter(read_plan(starter("metric")).lanes))
    kept = run(tmp_path, *keep, f"lane={lane}", "from=2+450", "--json", code=1).stdout
    assert len(json.loads(kept)["kept"]) == 3
    assert "2+450" in run(tmp_path, "show", "placement").stdout
    assert "can't be read" in run(tmp_path, "profile", str(tmp_path / "none.csv"), code=2).output
