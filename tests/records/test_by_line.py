"""Checklists line by line and joints step by step in the record, in each language."""

from typing import Any

from matbook.records.daily import daily_record
from tests.shift.site import Site
from tests.shift.test_joints import gone, step
from tests.shift.test_lists import WITH


def rows(site: Site, title: str, language: str = "en") -> list[list[Any]]:
    """The cells of the last table of a section, each as its text; a state in front of it."""
    sections = daily_record(site.view(), None, language).data["sections"]
    blocks = next(one["blocks"] for one in sections if one["title"] == title)
    found = [one for one in blocks if one["kind"] == "table"][-1]
    return [[_text(cell) for cell in row] for row in found["rows"]]


def _text(cell: Any) -> str:
    if isinstance(cell, str):
        return cell
    return " ".join(filter(None, (cell.get("state"), cell["text"], cell.get("small"))))


def test_every_word_on_a_line_stands_in_the_record_and_what_nobody_looked_at_last() -> None:
    site = Site(WITH)
    site.write("shift-open", {}, 0)
    line = {"list": "before", "item": "Plan read"}
    site.write("checklist", {**line, "state": "not done", "note": "Not here."}, 1)
    site.write("checklist", {**line, "state": "done"}, 2)
    site.write("checklist", {"list": "own", "item": "Boots dry", "state": "done"}, 3)
    site.write("hold-point", {"point": "Somebody's own", "state": "held"}, 4)
    assert rows(site, "Checklists and hold points") == [
        ["07:01", "Before the shift", "Plan read", "watch not done Not here.", "Ana Vale"],
        ["07:02", "", "Plan read", "done", "Ana Vale"],
        ["", "", "Word of the engineer", "watch not looked at", ""],
        ["07:03", "own", "Boots dry", "done", "Ana Vale"],
        ["07:04", "hold point", "Somebody's own", "watch held", "Ana Vale"],
    ]
    assert rows(site, "Listas y puntos de espera", "es")[1][3] == "hecho"


def test_steps_passed_over_when_the_paver_started_again_are_said_to_be() -> None:
    site = gone()
    step(site, 0, "face")
    step(site, 2, "restarted")
    found = rows(site, "Tack and joints")
    assert [row[2:4] for row in found] == [
        ["face", "done"],
        ["restarted", "done"],
        ["tacked", "watch not looked at"],
        ["starter strips", "watch not looked at"],
        ["straightedge", "watch not looked at"],
    ]


def test_fields_and_choices_are_in_the_language_of_the_record() -> None:
    site = Site()
    site.write("markings", {"item": "Centre line", "state": "missing", "note": "Soon."}, 1)
    site.write("ramp", {"step": "50 mm", "length": "1.00 m", "paper": "yes"}, 2)
    ramp, markings = rows(site, "Ce que la circulation trouve cette nuit", "fr")
    assert "longueur 1.00 m; papier dessous oui" in ramp[-2]
    assert "Centre line; manquant; Soon." in markings[-2]
