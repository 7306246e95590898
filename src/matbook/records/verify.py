"""What a file proves: a daily record, a bundle or a folder, from anywhere, without the store."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from matbook.errors import FileRefused, NotProven
from matbook.records.bundle import unbundle
from matbook.records.pdf import attachments_of, check_pdf_signature
from matbook.records.verifier import (
    LIMITS,
    NOT_PROVEN,
    Finding,
    check,
    key_words,
    read_entries,
)

LARGEST = 2 * 1024**3


@dataclass(frozen=True)
class Verdict:
    """Every finding, point by point, and what no check of this kind can show."""

    findings: tuple[Finding, ...]

    @property
    def proven(self) -> bool:
        return all(proven for proven, _ in self.findings)

    @property
    def limits(self) -> str:
        """What follows from the findings, and what does not."""
        return LIMITS if self.proven else NOT_PROVEN


def verify_file(path: Path) -> Verdict:
    """Check a file made by Matbook.

    Raises:
        FileRefused: It can't be read, or is neither a daily record nor a bundle.
    """
    try:
        if path.is_dir():
            return Verdict(tuple(check(_folder(path))))
        if path.stat().st_size > LARGEST:
            raise FileRefused(f"{path} is larger than {LARGEST} bytes.")
        raw = path.read_bytes()
    except OSError as error:
        raise FileRefused(f"{path} can't be read: {error.strerror}.") from None
    return verify_bytes(raw, str(path))


def verify_bytes(raw: bytes, name: str) -> Verdict:
    """Check the bytes of a daily record or a bundle."""
    if raw[:5] == b"%PDF-":
        return Verdict(tuple(_record(raw)))
    if raw[:2] == b"PK":
        return Verdict(tuple(check(unbundle(raw, name))))
    raise FileRefused(f"{name} is neither a daily record (PDF) nor a bundle (zip).")


def _folder(path: Path) -> Mapping[str, bytes]:
    files = [file for file in path.rglob("*") if file.is_file()]
    if path / "entries.jsonl" not in files:
        raise FileRefused(f"{path} has no entries.jsonl: it is not a bundle.")
    return {file.relative_to(path).as_posix(): file.read_bytes() for file in files}


def _record(raw: bytes) -> Iterator[Finding]:
    """The signature over the whole file, what is inside, and that one key made both."""
    signer = ""
    try:
        signed = check_pdf_signature(raw)
        good, signer = signed.intact and signed.whole_file_covered, signed.fingerprint
        yield (
            good,
            f"The file is as it was signed by the key {signer}, byte for byte."
            if good
            else "The file is not as it was signed.",
        )
    except NotProven as error:
        yield False, str(error)
    try:
        files = attachments_of(raw)
    except NotProven as error:
        yield False, str(error)
        return
    if "lot.json" in files and "entries.jsonl" not in files:
        return  # the report of a lot carries a part of the book, not a chain to check
    yield from check(files)
    entries, _ = read_entries(files.get("entries.jsonl", b""))
    keys = {key_words(data) for data in entries.values() if data["kind"] == "seal"}
    if signer and keys and keys != {signer}:
        yield False, f"The file was signed by the key {signer}, the seal inside by another."
