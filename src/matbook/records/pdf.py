"""PDF files: set from plain data, with other files inside; signed, and checked.

What is made here is PDF/A-3a and PDF/UA-1: it can be kept for decades, and read aloud. What people
typed reaches the typesetter as JSON only, so nothing typed can become markup. The same data at the
same moment give the same bytes.
"""

import hashlib
import io
import json
import logging
import re
import struct
import warnings
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from functools import cache
from importlib import resources
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final, Literal

import typst
from pyhanko.pdf_utils.generic import ArrayObject, ByteStringObject, pdf_name
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.fields import InvisSigSettings, MDPPerm, SigFieldSpec, SigSeedSubFilter
from pyhanko.sign.signers import cms_embedder
from pyhanko.sign.signers.pdf_byterange import SignatureObject
from pypdf import PdfReader
from pypdf.errors import DependencyError, PyPdfError

from matbook.errors import FileRefused, NotProven
from matbook.records.printable import printable
from matbook.seal import cms
from matbook.seal.keys import InstallationKey

for _library in ("pypdf", "pyhanko"):  # what they say of damaged files is no news to a person
    logging.getLogger(_library).addHandler(logging.NullHandler())

MAIN: Final = """\
#include "template.typ"
#for it in json("attached.json") {
  pdf.attach(it.name, read(it.file, encoding: none), relationship: it.relationship,
    mime-type: it.mime, description: it.description)
}
"""
"""What is compiled: the template, then the files that travel inside."""


@dataclass(frozen=True)
class Attachment:
    """A file that travels inside a PDF, and what it is to the document (ISO 19005-3)."""

    name: str
    content: bytes
    mime: str
    description: str
    relationship: Literal["source", "data", "alternative", "supplement"] = "source"


def compile_pdf(
    template: str,
    data: bytes,
    files: Mapping[str, bytes],
    attachments: Sequence[Attachment],
    written_at: datetime,
) -> bytes:
    """Set a document.

    Args:
        template: Name of a template beside this module.
        data: What it says, as JSON; the template knows the form.
        files: Drawings (SVG) and photos that the data names.
        attachments: What travels inside, each with a name of its own.
        written_at: The moment that the file is dated with; with its offset.

    Raises:
        FileRefused: It can't be set as it is: a photo that can't be read, a chart without the
            words that stand for it.
    """
    with TemporaryDirectory(prefix="matbook-") as folder:
        main = _lay_out(Path(folder), template, data, files, attachments)
        try:
            pdf, said = typst.compile_with_warnings(
                str(main),
                root=folder,
                font_paths=_fonts(),
                pdf_standards=["a-3a", "ua-1"],
                timestamp=_fixed(written_at),
                package_path=folder,
                package_cache_path=folder,
            )
        except typst.TypstError as error:
            raise FileRefused(f"The document can't be set: {error.message}.") from None
    for warning in said:
        warnings.warn(f"{template}: {warning.message}", stacklevel=2)
    return pdf


def _lay_out(
    folder: Path,
    template: str,
    data: bytes,
    files: Mapping[str, bytes],
    attachments: Sequence[Attachment],
) -> Path:
    """Write what the typesetter reads, under names of our own; returns where it begins."""
    named, attached = {}, []
    for number, (name, content) in enumerate(files.items()):
        named[name] = f"file{number}"
        (folder / f"file{number}").write_bytes(_drawable(name, content))
    for number, one in enumerate(attachments):
        (folder / f"attached{number}").write_bytes(one.content)
        about = {"mime": one.mime, "description": one.description, "file": f"attached{number}"}
        attached.append(about | {"name": one.name, "relationship": one.relationship})
    source = resources.files("matbook.records") / template
    (folder / "template.typ").write_bytes(source.read_bytes())
    (folder / "main.typ").write_text(MAIN, encoding="utf-8")
    _write_json(folder / "data.json", _printable(json.loads(data)))
    _write_json(folder / "files.json", named)
    _write_json(folder / "attached.json", attached)
    return folder / "main.typ"


def _drawable(name: str, content: bytes) -> bytes:
    """A drawing with only what can be printed in it; a photo as it is."""
    if not name.endswith(".svg"):
        return content
    return printable(content.decode("utf-8", "replace")).encode()


def _printable(value: Any) -> Any:
    """A JSON value with only what can be printed in its strings."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, list):
        return [_printable(item) for item in value]
    if isinstance(value, dict):
        return {key: _printable(item) for key, item in value.items()}
    return value


def _write_json(path: Path, value: object) -> None:
    path.write_text(json.dumps(value, ensure_ascii=False), encoding="utf-8")


def _fixed(moment: datetime) -> datetime:
    """The moment with a plain offset, whatever zone it came with."""
    return moment.astimezone(timezone(moment.utcoffset() or timedelta()))


@cache
def _fonts() -> typst.Fonts:
    """Our own fonts and those of the typesetter; none of the machine's."""
    with resources.as_file(resources.files("matbook.records") / "fonts") as folder:
        return typst.Fonts(include_system_fonts=False, font_paths=[str(folder)])


ROOM: Final = 8192
"""Digits kept free for the signature: four times what one takes."""

OUT_OF_SIGHT: Final = InvisSigSettings(set_print_flag=True, box_out_of_bounds=True)
"""A signature without a picture, in the one way that PDF/A and PDF/UA both allow."""


def sign_pdf(
    pdf: bytes, key: InstallationKey, reason: str, when: datetime, organisation: str = ""
) -> bytes:
    """Sign a PDF so that any changed byte shows; the same file at the same moment, the same bytes.

    Args:
        pdf: As `compile_pdf` made it.
        key: Of the installation.
        reason: What the signature is put under, in a few words.
        when: The moment that the signature names; with its offset.
        organisation: Whose installation it is; may be empty.
    """
    writer = _Update(io.BytesIO(pdf))
    page, _ = writer.find_page_for_modification(0)  # type: ignore[no-untyped-call]
    page.get_object()[pdf_name("/Tabs")] = pdf_name("/S")  # PDF/UA: a page with a field
    writer.mark_update(page)
    field = SigFieldSpec("Signature", invis_sig_settings=OUT_OF_SIGHT, readable_field_name=reason)
    steps = cms_embedder.PdfCMSEmbedder(field).write_cms("Signature", writer)
    next(steps)
    form = SigSeedSubFilter.ADOBE_PKCS7_DETACHED
    space = SignatureObject(when, form, reason=reason, bytes_reserved=ROOM)
    final = cms_embedder.SigMDPSetup("sha256", certify=True, docmdp_perms=MDPPerm.NO_CHANGES)
    steps.send(cms_embedder.SigObjSetup(space, final))
    prepared, out = steps.send(cms_embedder.SigIOSetup("sha256"))
    certificate = key.certificate(f"Matbook installation {key.fingerprint}", organisation)
    signature = cms.signed(key, certificate, prepared.document_digest, when)
    steps.send(signature.written(prepared.document_digest))
    return bytes(out.getvalue())


class _Update(IncrementalPdfFileWriter):
    """Appends to a PDF and changes nothing that it says of itself: its dates stay its own."""

    def _update_meta(self) -> None:
        pass

    @classmethod
    def _handle_id(cls, prev: PdfFileReader) -> ArrayObject:
        first, second = prev.trailer["/ID"]
        signed = hashlib.sha256(bytes(second.original_bytes) + b"signed").digest()[:16]
        return ArrayObject([ByteStringObject(first.original_bytes), ByteStringObject(signed)])


@dataclass(frozen=True)
class Signed:
    """What the signature of a PDF says."""

    intact: bool
    """What was signed has not been changed since."""
    whole_file_covered: bool
    """Nothing was added after it."""
    fingerprint: str
    """Of the key that signed: compare it with the one you were given."""
    when: datetime
    """By the clock of the machine that signed."""


RANGE: Final = re.compile(rb"/ByteRange\s*\[\s*0\s+(\d{1,12})\s+(\d{1,12})\s+(\d{1,12})\s*\]")
"""Which bytes a signature is over: from the start, how many; from where, how many more."""


def check_pdf_signature(pdf: bytes) -> Signed:
    """Check the last signature in a PDF.

    Nothing but the place of the signature is read out of the file before the signature is known
    to hold, so a damaged file can't mislead.

    Raises:
        FileRefused: It is not a PDF.
        NotProven: It carries no signature, or one that can't be read.
    """
    _must_be_pdf(pdf)
    places = RANGE.findall(pdf)
    if not places:
        raise NotProven("This PDF carries no signature.")
    stop, start, length = (int(number) for number in places[-1])
    digest = hashlib.sha256(pdf[:stop] + pdf[start : start + length]).digest()
    gap = pdf[stop:start]
    try:
        written = bytes.fromhex(gap[1:-1].decode("ascii"))
    except ValueError:
        raise NotProven("The signature in this file can't be read.") from None
    signature = cms.opened(written)
    as_we_write = gap == b"<" + written.hex().upper().encode() + b">"
    intact = as_we_write and signature.proves(written, digest)
    return Signed(intact, start + length == len(pdf), signature.fingerprint, signature.when)


DAMAGED: Final = (
    PyPdfError,
    DependencyError,  # a way of packing that our reader leaves to other programs
    zlib.error,
    struct.error,
    ValueError,
    TypeError,
    LookupError,
    AttributeError,
    ArithmeticError,
    AssertionError,
    RuntimeError,
    OSError,
    EOFError,
)
"""What the reader of a PDF raises when the file is not what it should be."""


def attachments_of(pdf: bytes) -> dict[str, bytes]:
    """The files that travel inside a PDF, by name.

    Raises:
        FileRefused: It is not a PDF.
        NotProven: They can't be read.
    """
    _must_be_pdf(pdf)
    try:
        inside = PdfReader(io.BytesIO(pdf), strict=True).attachments
        return {name: one for name, (one, *_) in inside.items()}
    except DAMAGED:
        raise NotProven("The files inside this PDF can't be read.") from None


def _must_be_pdf(raw: bytes) -> None:
    if not raw.startswith(b"%PDF-"):
        raise FileRefused("This is not a PDF file: it does not begin as one.")
