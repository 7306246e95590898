"""Attachments: in pieces, resumed, only what is named, only pictures, never run."""

import hashlib
import io
import os
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from matbook.server.house import Serving
from tests.scribe import Scribe
from tests.server.house import NOW, PATIENT, Served, code_of
from tests.store.books import pair


def picture(kind: str = "JPEG", size: tuple[int, int] = (40, 30)) -> bytes:
    out = io.BytesIO()
    Image.effect_noise(size, 80).convert("RGB").save(out, kind)
    return out.getvalue()


def name_it(served: Served, raw: bytes, scribe: Scribe | None = None) -> str:
    digest = hashlib.sha256(raw).hexdigest()
    entry = (scribe or Scribe()).write("photo", {"file": digest, "about": "the mat"}, 3)
    served.me.push([pair(entry)])
    return f"/api/jobs/ridge/attachments/{digest}"


def send(served: Served, path: str, raw: bytes, first: int, last: int, total: int) -> object:
    answer = served.me.put(
        path,
        raw,
        {
            "Content-Type": "application/octet-stream",
            "Content-Range": f"bytes {first}-{last}/{total}",
        },
    )
    return answer.json() if answer.status_code == 200 else code_of(answer)


def whole(served: Served, path: str, raw: bytes) -> object:
    return send(served, path, raw, 0, len(raw) - 1, len(raw))


def test_a_picture_comes_up_in_pieces_and_goes_on_where_it_was_cut(here: Served) -> None:
    raw = picture()
    path, total = name_it(here, raw), len(raw)
    assert here.me.send("HEAD", path).status_code == 404
    assert send(here, path, raw[:100], 0, 99, total) == {"offset": 100, "whole": False}
    assert send(here, path, raw[:100], 0, 99, total) == {"offset": 100, "whole": False}
    assert send(here, path, raw[300:400], 300, 399, total) == {"offset": 100, "whole": False}
    here.close()
    here.open()  # the server was started again
    seen = here.me.send("HEAD", path)
    assert seen.status_code == 200
    assert (seen.headers["upload-offset"], seen.headers["upload-length"]) == ("100", str(total))
    assert send(here, path, raw[100:], 100, total - 1, total) == {"offset": total, "whole": True}
    assert here.me.send("HEAD", path).headers["upload-offset"] == str(total)
    assert whole(here, path, raw) == {"offset": total, "whole": True}
    got = here.me.get(path)
    assert got.content == raw
    assert got.headers["content-type"] == "image/jpeg"
    assert got.headers["content-disposition"].startswith("attachment;")
    assert got.headers["x-content-type-options"] == "nosniff"
    assert list((here.home / "incoming").iterdir()) == []


@pytest.mark.parametrize(
    ("raw", "kind"),
    [
        (picture("PNG"), "image/png"),
        (picture("WEBP"), "image/webp"),
        (picture("AVIF"), "image/avif"),
        (b"%PDF-1.7\nscan", "application/pdf"),
    ],
)
def test_the_kinds_that_phones_and_scanners_make_are_taken(
    here: Served, raw: bytes, kind: str
) -> None:
    path = name_it(here, raw)
    assert whole(here, path, raw) == {"offset": len(raw), "whole": True}
    assert here.me.get(path).headers["content-type"] == kind


@pytest.mark.parametrize(
    "raw",
    [
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"<!doctype html><script>alert(1)</script>",
        b"GIF89a" + bytes(40),
        picture()[:200],
        b"\xff\xd8\xff" + bytes(300),
        b"\0",
    ],
)
def test_what_is_no_picture_is_refused(here: Served, raw: bytes) -> None:
    path = name_it(here, raw)
    assert whole(here, path, raw) == (422, "not-a-picture")
    assert here.me.send("HEAD", path).status_code == 404
    assert code_of(here.me.get(path)) == (404, "not-found")


def test_a_picture_of_too_many_pixels_is_refused(here: Served) -> None:
    out = io.BytesIO()
    Image.new("1", (8000, 5001)).save(out, "PNG")
    path = name_it(here, out.getvalue())
    assert whole(here, path, out.getvalue()) == (413, "too-large")


def test_bytes_that_are_not_those_named_begin_again(here: Served) -> None:
    raw, other = picture(), picture()
    path = name_it(here, raw)
    assert whole(here, path, other) == (409, "other-bytes")
    assert whole(here, path, raw) == {"offset": len(raw), "whole": True}


def test_only_what_an_entry_of_this_job_names_is_taken(here: Served) -> None:
    raw = picture()
    path = f"/api/jobs/ridge/attachments/{hashlib.sha256(raw).hexdigest()}"
    assert whole(here, path, raw) == (409, "not-named")
    assert here.me.send("HEAD", path).status_code == 409
    assert code_of(here.me.get(path)) == (409, "not-named")
    assert code_of(here.me.get(path.replace("ridge", "vale"))) == (404, "not-found")
    name_it(here, raw)
    assert whole(here, path, raw) == {"offset": len(raw), "whole": True}


@pytest.mark.parametrize(
    "header", ["", "bytes", "bytes 0-9/10", "bytes 0-8/9", "bytes 5-3/10", "bytes 0-9/5", "0-9/10"]
)
def test_a_range_must_fit_its_piece(here: Served, header: str) -> None:
    raw = picture()
    path = name_it(here, raw)
    headers = {"Content-Type": "application/octet-stream", "Content-Range": header}
    assert code_of(here.me.put(path, b"12345", headers)) == (422, "refused")


def test_a_piece_is_binary_and_not_too_long(here: Served) -> None:
    raw = picture()
    path = name_it(here, raw)
    headers = {"Content-Type": "image/svg+xml", "Content-Range": "bytes 0-9/10"}
    assert code_of(here.me.put(path, b"1234567890", headers)) == (415, "type")
    headers["Content-Type"] = "application/octet-stream"
    assert code_of(here.me.put(path, bytes((1 << 20) + 1), headers)) == (413, "too-large")
    most = (64 << 20) + 1
    assert send(here, path, b"12345", 0, 4, most) == (413, "too-large")


def test_another_length_begins_again_only_at_the_beginning(here: Served) -> None:
    raw = picture()
    path, total = name_it(here, raw), len(raw)
    assert send(here, path, raw[:10], 0, 9, total + 5) == {"offset": 10, "whole": False}
    assert send(here, path, raw[10:20], 10, 19, total) == (409, "other-length")
    assert send(here, path, raw[:20], 0, 19, total) == {"offset": 20, "whole": False}


def test_parts_that_nobody_went_on_with_are_dropped_after_a_month(here: Served) -> None:
    raw, other = picture(), picture()
    old, new = name_it(here, raw), name_it(here, other, Scribe("phone-2"))
    send(here, old, raw[:10], 0, 9, len(raw))
    send(here, new, other[:10], 0, 9, len(other))
    [part] = (here.home / "incoming").glob(f"*{old.rpartition('/')[2]}*")
    for path in (here.home / "incoming").iterdir():
        days = 31 if path == part else 29
        os.utime(path, times=(NOW.timestamp() - days * 86_400,) * 2)
    here.close()
    here.open()
    assert here.me.send("HEAD", old).status_code == 404
    assert here.me.send("HEAD", new).status_code == 200


def test_names_cannot_leave_the_folder(here: Served) -> None:
    for name in ("../../pen.lock", "..%2f..%2fpen.lock", "A" * 64, "0" * 63):
        answer = here.me.get(f"/api/jobs/ridge/attachments/{name}")
        assert answer.status_code in (404, 422)


def test_a_disk_that_is_full_is_told(tmp_path: Path) -> None:
    served = Served(tmp_path / "home", replace(Serving(limits=PATIENT))).with_plan()
    raw = picture()
    path = name_it(served, raw)
    folder = tmp_path / "home" / "books.sqlite.files"
    folder.write_text("in the way", encoding="utf-8")
    assert whole(served, path, raw) == (507, "file-refused")
    folder.unlink()
    assert whole(served, path, raw) == {"offset": len(raw), "whole": True}
    served.close()
