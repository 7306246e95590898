"""Attachments on the disk: whole or not at all, and never something else under their name."""

import io
from pathlib import Path

import pytest

from matbook.errors import FileRefused
from matbook.store.attachments import Attachments


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "files"


def names(folder: Path) -> list[str]:
    return sorted(
        path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()
    )


def test_a_file_lies_under_its_name(folder: Path) -> None:
    name = Attachments(folder).keep(b"photo")
    assert names(folder) == [f"{name[:2]}/{name[2:]}"]
    assert (folder / name[:2] / name[2:]).read_bytes() == b"photo"


def test_a_file_that_is_here_is_not_written_again(folder: Path) -> None:
    attachments = Attachments(folder)
    name = attachments.keep(b"photo")
    before = (folder / name[:2] / name[2:]).stat()
    assert attachments.keep(io.BytesIO(b"photo")) == name
    after = (folder / name[:2] / name[2:]).stat()
    assert (after.st_ino, after.st_mtime_ns) == (before.st_ino, before.st_mtime_ns)
    assert len(names(folder)) == 1


def test_a_changed_file_is_noticed_and_its_original_can_be_kept_again(folder: Path) -> None:
    attachments = Attachments(folder)
    name = attachments.keep(b"photo")
    (folder / name[:2] / name[2:]).write_bytes(b"phot0")
    with pytest.raises(FileRefused, match="was changed"):
        attachments.read(name)
    assert attachments.keep(b"photo") == name
    assert attachments.read(name) == b"photo"


def test_a_source_that_fails_leaves_nothing(folder: Path) -> None:
    class Torn(io.BytesIO):
        def read(self, size: int | None = -1, /) -> bytes:
            if self.tell() > 0:
                raise EOFError
            return super().read(3)

    with pytest.raises(EOFError):
        Attachments(folder).keep(Torn(b"photo"))
    assert names(folder) == []


def test_a_folder_that_can_not_be_written_is_said(folder: Path) -> None:
    folder.write_text("in the way")
    with pytest.raises(FileRefused, match="could not be kept: "):
        Attachments(folder).keep(b"photo")


def test_a_file_that_can_not_be_read_is_said(folder: Path) -> None:
    (folder / "ab" / ("0" * 62)).mkdir(parents=True)
    with pytest.raises(FileRefused, match="could not be read: "):
        Attachments(folder).read("ab" + "0" * 62)
