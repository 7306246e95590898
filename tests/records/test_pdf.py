"""Documents as people and machines find them: standards, words, tags, files inside."""

import hashlib
import io
import json
import os
import subprocess
import sys
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

import pypdfium2
import pytest
import typst
from pypdf import PdfReader

from matbook.errors import FileRefused
from matbook.records import pdf
from matbook.records.pdf import Attachment, attachments_of, compile_pdf
from matbook.records.printable import printable
from tests.records import sample

PAPERS = {"a4": (210 / 25.4 * 72, 297 / 25.4 * 72), "us-letter": (612, 792)}
"""Width and height in points (ISO 216; ANSI/ASME Y14.1)."""
TYPED = [
    '#panic("typed")',
    '#read("/etc/hostname")',
    "*bold* _slant_ `raw` $x^2$",
    "= Heading",
    "- item",
    "@ref <label>",
    "// gone? /* gone? */",
    "a \\ b \\u{41}",
    '"quoted" #"',
    "](https://example.invalid)",
    "{n} {of}",
    "~ -- --- ... 'single'",
    "&lt;b&gt; <b>",
    "]] }} ))",
]


def compiled(files: Mapping[str, bytes] | None = None, **changes: Any) -> bytes:
    drawn = sample.files() if files is None else files
    return compile_pdf("daily.typ", sample.data(**changes), drawn, [], sample.WRITTEN_AT)


@cache
def whole(paper: str = "a4") -> bytes:
    return compile_pdf(
        "daily.typ",
        sample.data(paper=paper),
        sample.files(),
        sample.attachments(),
        sample.WRITTEN_AT,
    )


def pages(pdf: bytes) -> list[str]:
    """The text of every page, without spaces: how lines were broken is no matter."""
    with pypdfium2.PdfDocument(pdf) as document:
        return ["".join(page.get_textpage().get_text_range().split()) for page in document]


def squeezed(text: str) -> str:
    return "".join(text.split())


def strings(value: Any) -> Iterator[str]:
    """Every string that a reader should find, in a part of a document."""
    if isinstance(value, dict):
        unread = {"kind", "file", "alt", "align", "state"}
        unread |= {"empty"} if value.get("rows") else {"columns"} if "rows" in value else set()
        for name, one in value.items():
            if name not in unread:
                yield from strings(one)
    elif isinstance(value, list):
        for one in value:
            yield from strings(one)
    elif isinstance(value, str):
        yield value


def blocks(value: Any, kind: str) -> Iterator[dict[str, Any]]:
    """Every block of a kind, wherever it stands."""
    if isinstance(value, dict):
        if value.get("kind") == kind:
            yield value
        value = list(value.values())
    if isinstance(value, list):
        for one in value:
            yield from blocks(one, kind)


def tags(pdf: bytes) -> list[Any]:
    """Every element of the structure tree, in order."""
    found, todo = [], [PdfReader(io.BytesIO(pdf)).root_object["/StructTreeRoot"]]
    while todo:
        one: Any = todo.pop().get_object()
        if isinstance(one, list):
            todo.extend(reversed(one))
        elif isinstance(one, dict):
            if "/S" in one:
                found.append(one)
            if "/K" in one:
                todo.append(one["/K"])
    return found


def block(kind: str, **fields: Any) -> dict[str, Any]:
    return {"title": "", "blocks": [{"kind": kind} | fields]}


@pytest.mark.parametrize("paper", PAPERS)
def test_it_says_that_it_is_both_kept_and_read_aloud(paper: str) -> None:
    """ISO 19005-3, 6.6.4, and ISO 14289-1, 5: the typesetter refuses what breaks either."""
    reader = PdfReader(io.BytesIO(whole(paper)))
    xmp = reader.xmp_metadata
    assert xmp is not None
    said = xmp.stream.get_data().decode()
    assert "<pdfaid:part>3</pdfaid:part>" in said
    assert "<pdfaid:conformance>A</pdfaid:conformance>" in said
    assert "<pdfuaid:part>1</pdfuaid:part>" in said
    assert reader.root_object["/MarkInfo"]["/Marked"]  # type: ignore[index]
    assert str(reader.root_object["/Lang"]) == "en"
    assert reader.metadata is not None
    assert reader.metadata.title == "Daily record"
    assert reader.metadata.creation_date == sample.WRITTEN_AT
    width, height = PAPERS[paper]
    for page in reader.pages:
        assert float(page.mediabox.width) == pytest.approx(width, abs=0.01)
        assert float(page.mediabox.height) == pytest.approx(height, abs=0.01)


def test_the_same_again_has_the_same_bytes() -> None:
    code = (
        "import hashlib; from tests.records import test_pdf\n"
        "print(hashlib.sha256(test_pdf.whole()).hexdigest())"
    )
    elsewhere = subprocess.run(
        [sys.executable, "-c", code],
        env=os.environ | {"PYTHONHASHSEED": "2", "TZ": "Asia/Tokyo", "LANG": "de_DE.UTF-8"},
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert elsewhere == hashlib.sha256(whole()).hexdigest() + "\n"
    again = compile_pdf(
        "daily.typ", sample.data(), sample.files(), sample.attachments(), sample.WRITTEN_AT
    )
    assert again == whole()


def test_the_file_is_dated_with_the_moment_it_was_given() -> None:
    for at in (sample.WRITTEN_AT + timedelta(hours=1), datetime(2026, 1, 2, tzinfo=UTC)):
        pdf = compile_pdf("daily.typ", sample.data(sections=[]), {}, [], at)
        metadata = PdfReader(io.BytesIO(pdf)).metadata
        assert metadata is not None
        assert metadata.creation_date == metadata.modification_date == at


@pytest.mark.parametrize("paper", PAPERS)
def test_every_word_is_there(paper: str) -> None:
    text = "".join(pages(whole(paper)))
    data = sample.document()
    missing = [one for one in strings(data["sections"]) if squeezed(one) not in text]
    assert len(list(strings(data["sections"]))) > 1000
    assert missing == []


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_stands_outside_the_margins(paper: str) -> None:
    width, height = PAPERS[paper]
    with pypdfium2.PdfDocument(whole(paper)) as document:
        for page in document:
            text = page.get_textpage()
            for at in range(text.count_chars()):
                left, low, right, high = text.get_charbox(at)
                assert left >= 30, text.get_text_range(at, 20)
                assert right <= width - 30, text.get_text_range(at, 20)
                assert low >= 20
                assert high <= height - 20


@pytest.mark.parametrize("paper", PAPERS)
def test_every_page_says_whose_it_is_and_which_of_how_many(paper: str) -> None:
    found = pages(whole(paper))
    assert len(found) >= 5
    for number, text in enumerate(found, 1):
        for words in (
            "Harrow Road resurfacing",
            "Daily record · 2026-06-03, day",
            "Contract MC-2026-118",
            f"page {number} of {len(found)}",
        ):
            assert squeezed(words) in text


def test_a_tables_head_stands_on_every_page_of_it() -> None:
    columns = [{"head": "Ticketnumber", "width": 1}, {"head": "Nettomass", "width": 1}]
    rows = [[f"row{n}", f"{n}.00"] for n in range(150)]
    found = pages(compiled(sections=[block("table", columns=columns, rows=rows, caption="")]))
    assert len(found) > 2
    assert all("TicketnumberNettomass" in text for text in found)


def test_an_empty_table_says_so() -> None:
    fields = {"columns": [{"head": "Head"}], "rows": [], "caption": "", "empty": "None today."}
    (text,) = pages(compiled(sections=[block("table", **fields)]))
    assert "Nonetoday." in text
    assert "Head" not in text


@pytest.mark.parametrize("typed", TYPED)
def test_nothing_typed_becomes_markup(typed: str) -> None:
    """Typed words stand as they were typed wherever a document can carry them."""
    cell = {"text": f"cell{typed}", "small": f"small{typed}"}
    sections = [
        {"title": f"title{typed}", "blocks": []},
        block("paragraph", text=f"paragraph{typed}"),
        block("caution", text=f"caution{typed}"),
        block("facts", items=[{"label": f"label{typed}", "value": f"value{typed}"}]),
        block(
            "numbers",
            items=[
                {"label": f"n{typed}", "number": "1", "unit": "t", "line": typed, "state": "act"}
            ],
        ),
        block("list", items=[{"state": "act", "text": f"list{typed}", "small": f"less{typed}"}]),
        block(
            "table",
            columns=[{"head": f"head{typed}", "width": 1}],
            rows=[[cell], [f"plain{typed}"]],
            caption=f"caption{typed}",
        ),
        block(
            "sign",
            lines=[{"name": f"name{typed}", "role": f"role{typed}", "signed": f"signed{typed}"}],
        ),
    ]
    text = "".join(pages(compiled(sections=sections, title=f"top{typed}", footer=f"foot{typed}")))
    wanted = [one for one in strings(sections) if one not in ("", "1", "t")]
    assert len(wanted) == 17
    assert [one for one in (*wanted, f"top{typed}") if squeezed(one) not in text] == []


def test_a_chart_is_set_with_the_words_that_stand_for_it() -> None:
    alts = [str(one["/Alt"]) for one in tags(whole()) if one["/S"] == "/Figure" and "/Alt" in one]
    wanted = [one["alt"] for one in blocks(sample.document(), "chart")]
    assert wanted
    assert [alt for alt in wanted if alt not in alts] == []


def test_headings_and_tables_are_tagged_as_what_they_are() -> None:
    found = tags(whole())
    kinds = [str(one["/S"]) for one in found]
    titled = [one for one in sample.document()["sections"] if one["title"]]
    assert kinds.count("/H1") == len(titled)
    tables = [one for one in blocks(sample.document(), "table") if one["rows"]]
    assert kinds.count("/Table") == kinds.count("/THead") == len(tables)
    assert kinds.count("/TH") == len([head for one in tables for head in one["columns"]])
    rows = [row for one in tables for row in one["rows"]]
    assert kinds.count("/TR") == len(tables) + len(rows)
    assert kinds.count("/TD") == len([cell for row in rows for cell in row])


def test_a_chart_without_words_is_refused() -> None:
    chart = {"kind": "chart", "file": "tonnes.svg", "alt": "", "caption": ""}
    with pytest.raises(FileRefused, match="words that stand for it"):
        compiled(sections=[{"title": "", "blocks": [chart]}])


def test_a_drawing_that_cannot_be_read_is_refused() -> None:
    chart = {"kind": "chart", "file": "tonnes.svg", "alt": "a", "caption": ""}
    with pytest.raises(FileRefused, match="can't be set"):
        compiled({"tonnes.svg": b"<svg"}, sections=[{"title": "", "blocks": [chart]}])


def test_only_the_fonts_that_come_along_are_used() -> None:
    names = {
        str(font.get_object()["/BaseFont"]).split("+")[-1].removesuffix("-Identity-H")
        for page in PdfReader(io.BytesIO(whole())).pages
        for font in page["/Resources"]["/Font"].values()  # type: ignore[index]
    }
    assert "MatbookSans-Regular" in names
    assert {name.split("-")[0] for name in names} <= {"MatbookSans", "DejaVuSansMono"}


def test_what_the_typesetter_warns_of_is_passed_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf, "_fonts", lambda: typst.Fonts(include_system_fonts=False))
    with pytest.warns(UserWarning, match=r"daily\.typ: unknown font family: matbook sans"):
        compiled(sections=[])


def test_a_character_that_no_font_has_is_shown_by_its_number() -> None:
    (text,) = pages(compiled(sections=[block("paragraph", text="Śliwa 土 \u202eabc ° ² ³ ± ≤ ≥")]))
    assert "Śliwa[U+571F][U+202E]abc°²³±≤≥" in text
    units = "\u2033 \u2032 × − … → · \u202f ≤ ≥ °"
    assert printable(units) == units


def test_a_word_without_a_break_is_broken_at_the_margin() -> None:
    digest = "0123456789abcdef" * 16
    sections = [
        block("paragraph", text=digest),
        block("facts", items=[{"label": "Digest", "value": digest}]),
        block("table", columns=[{"head": "A"}, {"head": "B"}], rows=[[digest, digest]], caption=""),
    ]
    pdf = compiled(sections=sections)
    assert "".join(pages(pdf)).count(digest) == 4
    with pypdfium2.PdfDocument(pdf) as document:
        for page in document:
            text = page.get_textpage()
            boxes = [text.get_charbox(at) for at in range(text.count_chars())]
            assert max(box[2] for box in boxes) <= PAPERS["a4"][0] - 30


def test_files_travel_inside_and_say_what_they_are() -> None:
    assert attachments_of(whole()) == {one.name: one.content for one in sample.attachments()}
    root = PdfReader(io.BytesIO(whole())).root_object
    listed = [one.get_object() for one in root["/AF"]]  # type: ignore[attr-defined]
    about = {
        str(one["/UF"]): (str(one["/AFRelationship"]), str(one["/EF"]["/F"]["/Subtype"]))
        for one in listed
    }
    assert about == {
        "entries.jsonl": ("/Source", "/application/jsonl"),
        "README.txt": ("/Supplement", "/text/plain"),
    }


def test_files_inside_are_any_bytes_under_any_name() -> None:
    raw = bytes(range(256)) * 3
    inside = [
        Attachment("Book #1 (a) 'b'.bin", raw, "application/octet-stream", 'The "book" #x'),
        Attachment("empty", b"", "text/plain", "Nothing", "data"),
    ]
    pdf = compile_pdf("daily.typ", sample.data(sections=[]), {}, inside, sample.WRITTEN_AT)
    assert attachments_of(pdf) == {"Book #1 (a) 'b'.bin": raw, "empty": b""}


def test_data_is_json() -> None:
    with pytest.raises(json.JSONDecodeError):
        compile_pdf("daily.typ", b"{", {}, [], sample.WRITTEN_AT)
