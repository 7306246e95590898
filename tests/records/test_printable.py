"""Whatever is typed can be printed: as it is, or by its number."""

import json
from html import escape
from pathlib import Path
from typing import Any

import pytest
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from hypothesis import example, given, settings
from hypothesis import strategies as st

import matbook.records
from matbook.records.pdf import compile_pdf
from matbook.records.printable import printable
from tests.records import sample

SVG = "http://www.w3.org/2000/svg"
WEIGHTS = ("Regular", "Bold", "Black")
FONTS = Path(matbook.records.__file__).parent / "fonts"


def test_what_is_listed_is_what_every_font_has() -> None:
    kept = [
        {code for code in range(0x20, 0x110000) if printable(chr(code)) == chr(code)},
        *(set(TTFont(FONTS / f"MatbookSans-{w}.otf").getBestCmap()) for w in WEIGHTS),
    ]
    composing = {code for code in kept[1] if printable(chr(code)) != chr(code)}
    assert kept[1] == kept[2] == kept[3]
    assert kept[0] == kept[1] - composing
    # Some signs are another character by definition: the ohm sign is the Greek letter.
    assert all(len(printable(chr(code))) <= 2 for code in composing)
    assert len(kept[0]) > 1000


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("plain words, 12.5 %", "plain words, 12.5 %"),
        ("Şükrü Łącka Đặng Øyvind Ψυχή Жуков", "Şükrü Łącka Đặng Øyvind Ψυχή Жуков"),
        ("e\u0301", "é"),
        ("one\ntwo\r\nthree\tfour", "one\ntwo\nthree four"),
        ("\0\x07\x1b", "[U+0000][U+0007][U+001B]"),
        ("道路 🚧", "[U+9053][U+8DEF] [U+1F6A7]"),
        ("12\u202e34", "12[U+202E]34"),
        ("a\u200bb\u00adc\ufeff", "a[U+200B]b[U+00AD]c[U+FEFF]"),
        ("\ud800 alone", "[U+D800] alone"),
        ("\ue000 \U0010ffff", "[U+E000] [U+10FFFF]"),
        (
            "± × − ≤ ≥ ° ² ³ ½ – — … “ ” ‘ ’ • → ◆ ▲ ■ ○",
            "± × − ≤ ≥ ° ² ³ ½ – — … “ ” ‘ ’ • → ◆ ▲ ■ ○",
        ),
    ],
)
def test_typed_and_shown(typed: str, shown: str) -> None:
    assert printable(typed) == shown


@given(st.text())
def test_twice_is_the_same_as_once(typed: str) -> None:
    assert printable(printable(typed)) == printable(typed)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.text(max_size=40), min_size=3, max_size=3), st.text(max_size=400))
@example(["", "", ""], "")
@example(["ặặặặặặặặ", "a" + "\u0332" * 30, "Автодорожник"], "кг/м² " * 20)
@example(["\u0301", "ﬁ\u0323", "a\u0300\u0301\u0302"], "\n\n \n")
def test_any_words_can_be_set(short: list[str], long: str) -> None:
    one, two, three = short
    cell: Any = {"text": one, "small": two, "state": "watch", "struck": True}
    columns = [{"head": two, "width": 1}, {"head": three}]
    blocks = [
        {"kind": "paragraph", "text": long},
        {"kind": "table", "columns": columns, "rows": [[cell, long], [three, one]]},
        {"kind": "facts", "items": [{"label": one, "value": long, "mono": True}]},
        {"kind": "list", "items": [{"state": "act", "text": long, "small": two}]},
        {"kind": "sign", "lines": [{"name": one, "role": two, "signed": three}]},
    ]
    drawing = f'<svg xmlns="{SVG}" viewBox="0 0 99 9"><text y="9">{escape(three)}</text></svg>'
    files = {"a.svg": drawing.encode("utf-8", "surrogatepass")}
    blocks.append({"kind": "chart", "file": "a.svg", "alt": f"a{one}", "caption": two})
    data = sample.document(sections=[{"title": one, "blocks": blocks}], header=[two, three])
    pdf = compile_pdf("daily.typ", json.dumps(data).encode(), files, [], sample.WRITTEN_AT)
    assert pdf.startswith(b"%PDF-1.7")
