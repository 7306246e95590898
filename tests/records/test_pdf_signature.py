"""Signed PDFs: any changed byte shows, here and to a general PDF library."""

import io
import subprocess
import sys
from functools import cache
from pathlib import Path
from random import Random

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.x509.oid import NameOID
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign import signers
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.status import SignatureCoverageLevel
from pyhanko_certvalidator import ValidationContext
from pypdf import PdfReader, PdfWriter
from pypdf.generic import ArrayObject

from matbook.errors import FileRefused, NotProven
from matbook.records.pdf import Attachment, attachments_of, check_pdf_signature, compile_pdf
from matbook.records.pdf import sign_pdf as sign
from matbook.seal.keys import FROM, UNTIL, InstallationKey
from tests.records import sample

KEY = InstallationKey.create()
REASON = "Ridge Road (invented), daily record"
TRICK = b"/ByteRange [0 1 2 3] /Contents <00>\n" * 3
FILES = {"entries.jsonl": b'{"hash":"00"}\n' * 200, "trick.txt": TRICK, "empty.txt": b""}


@cache
def unsigned() -> bytes:
    """A short document, with files inside."""
    sections = [{"title": "A", "blocks": [{"kind": "paragraph", "text": "Ünsinn #1"}]}]
    inside = [Attachment(name, raw, "text/plain", name) for name, raw in FILES.items()]
    return compile_pdf("daily.typ", sample.data(sections=sections), {}, inside, sample.WRITTEN_AT)


@cache
def signed() -> bytes:
    return sign(unsigned(), KEY, REASON, sample.WRITTEN_AT, "Merrow County Roads (invented)")


def holds(pdf: bytes) -> bool:
    """Whether a check finds nothing wrong; refusing the file is finding something wrong."""
    try:
        found = check_pdf_signature(pdf)
    except (NotProven, FileRefused):
        return False
    return found.intact and found.whole_file_covered


def read_or_refused(pdf: bytes) -> None:
    """Whatever is damaged, nothing but our own errors comes out."""
    try:
        attachments_of(pdf)
    except (NotProven, FileRefused):
        return


def changed(pdf: bytes, at: int, to: int) -> bytes:
    return pdf[:at] + bytes([to]) + pdf[at + 1 :]


def test_a_signed_file_is_proven() -> None:
    found = check_pdf_signature(signed())
    assert (found.intact, found.whole_file_covered) == (True, True)
    assert found.fingerprint == KEY.fingerprint
    assert found.when == sample.WRITTEN_AT.replace(microsecond=0)
    assert attachments_of(signed()) == FILES


def test_the_same_file_signed_again_has_the_same_bytes() -> None:
    again = InstallationKey.from_pem(KEY.pem())
    assert (
        sign(unsigned(), again, REASON, sample.WRITTEN_AT, "Merrow County Roads (invented)")
        == signed()
    )


def test_signing_only_adds() -> None:
    assert signed().startswith(unsigned())
    before, after = PdfReader(io.BytesIO(unsigned())), PdfReader(io.BytesIO(signed()))
    assert after.metadata == before.metadata
    assert after.xmp_metadata is not None
    assert before.xmp_metadata is not None
    assert after.xmp_metadata.stream.get_data() == before.xmp_metadata.stream.get_data()
    assert len(after.pages) == len(before.pages)


def test_a_general_library_finds_the_signature_good() -> None:
    with io.BytesIO(signed()) as file:
        (embedded,) = PdfFileReader(file).embedded_signatures
        trusted = ValidationContext(trust_roots=[embedded.signer_cert])
        status = validate_pdf_signature(embedded, trusted)
    assert status.intact
    assert status.valid
    assert status.trusted
    assert status.docmdp_ok
    assert status.coverage == SignatureCoverageLevel.ENTIRE_FILE
    assert status.signer_reported_dt == sample.WRITTEN_AT


def test_the_mark_of_a_signature_is_out_of_sight_on_a_page_that_says_so() -> None:
    page = PdfReader(io.BytesIO(signed())).pages[0]
    places = page["/Annots"]
    assert isinstance(places, ArrayObject)
    (field,) = (one.get_object() for one in places)
    left, low, right, high = field["/Rect"]
    assert (left, low) == (right, high)  # ISO 19005-3, 6.3.3: no appearance needed
    assert left < page.cropbox.left  # ISO 14289-1, 7.18.1: outside the crop box
    assert field["/F"] & 0b100  # ISO 19005-3, 6.3.2: printed
    assert not field["/F"] & 0b100010  # neither hidden nor kept from view
    assert field["/TU"] == REASON  # ISO 14289-1, 7.18.1: a field has a name for people
    assert str(page["/Tabs"]) == "/S"  # ISO 14289-1, 7.18.3


def test_no_changed_byte_passes() -> None:
    look_at_changes(60)


@pytest.mark.long
def test_no_changed_byte_passes_at_many_places() -> None:
    look_at_changes(600)


def look_at_changes(count: int) -> None:
    """Half of the places anywhere, half in what signing added; bits, letter case and spaces."""
    dice, whole, start = Random(20260603), signed(), len(unsigned())
    for number in range(count):
        at = dice.randrange(start if number % 2 else 0, len(whole))
        for to in {whole[at] ^ 1 << dice.randrange(8), whole[at] ^ 0x20, 0x20} - {whole[at]}:
            damaged = changed(whole, at, to)
            assert not holds(damaged), (at, to)
            read_or_refused(damaged)


def test_no_changed_letter_of_the_signature_itself_passes() -> None:
    """What stands in the gap is not covered by the signature, so its form must be."""
    whole = signed()
    start = whole.rindex(b"/Contents <") + len(b"/Contents ")
    end = whole.index(b">", start) + 1
    assert end - start > 8000
    dice = Random(1)
    used = len(whole[start:end].rstrip(b"0>"))
    places = [*range(start, start + used, 67), *(dice.randrange(start, end) for _ in range(9))]
    for at in (start, end - 1, *places):
        for to in {ord("0"), ord("f"), whole[at] | 0x20, 0x20} - {whole[at]}:
            assert not holds(changed(whole, at, to)), at - start


@pytest.mark.parametrize("more", [b"\n", b"%", b"\0", b"%%EOF", b"\n/ByteRange [0 1 2 3]\n"])
def test_appended_bytes_show(more: bytes) -> None:
    assert not holds(signed() + more)
    read_or_refused(signed() + more)


def test_a_cut_file_shows() -> None:
    dice, whole = Random(2), signed()
    for length in (0, 5, len(unsigned()), *(dice.randrange(len(whole)) for _ in range(40))):
        assert not holds(whole[:length])
        read_or_refused(whole[:length])
        assert not holds(whole[length:] if length else b"")


def test_what_was_added_later_shows_and_what_was_signed_still_holds() -> None:
    out = io.BytesIO()
    writer = PdfWriter(io.BytesIO(signed()), incremental=True)
    writer.add_metadata({"/Title": "Another title"})
    writer.write(out)
    later = out.getvalue()
    assert later.startswith(signed())
    found = check_pdf_signature(later)
    assert (found.intact, found.whole_file_covered) == (True, False)


def test_a_file_signed_over_by_another_names_the_other() -> None:
    other = InstallationKey.create()
    found = check_pdf_signature(sign(unsigned(), other, REASON, sample.WRITTEN_AT))
    assert found.intact
    assert found.fingerprint == other.fingerprint != KEY.fingerprint


def test_a_file_without_a_signature_is_not_proven() -> None:
    with pytest.raises(NotProven, match="no signature"):
        check_pdf_signature(unsigned())


@pytest.mark.parametrize("kind", ["rsa", "p-256"])
def test_a_signature_by_another_program_does_not_pass_for_ours(kind: str, tmp_path: Path) -> None:
    """Even with the same kind of key: it is not in the one form."""
    private = (
        rsa.generate_private_key(65537, 2048)
        if kind == "rsa"
        else ec.generate_private_key(ec.SECP256R1())
    )
    (tmp_path / "key.pem").write_bytes(
        private.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Another program")])
    certificate = (
        x509.CertificateBuilder(name, name, private.public_key(), 7, FROM, UNTIL)
        .sign(private, SHA256())
        .public_bytes(serialization.Encoding.DER)
    )
    (tmp_path / "cert.der").write_bytes(certificate)
    signer = signers.SimpleSigner.load(  # type: ignore[no-untyped-call]
        str(tmp_path / "key.pem"), str(tmp_path / "cert.der")
    )
    about = signers.PdfSignatureMetadata(field_name="Other", md_algorithm="sha256")
    out = signers.sign_pdf(IncrementalPdfFileWriter(io.BytesIO(unsigned())), about, signer)
    assert not holds(out.getvalue())


@pytest.mark.parametrize("raw", [b"", b"PK\3\4", b"\0" * 100, b" %PDF-1.7"])
def test_another_file_is_refused(raw: bytes) -> None:
    with pytest.raises(FileRefused, match="not a PDF"):
        check_pdf_signature(raw)
    with pytest.raises(FileRefused, match="not a PDF"):
        attachments_of(raw)


@pytest.mark.parametrize(
    "gap", [b"<>", b"<00>", b"<zz>", b"<308000>", b"(0000)", b"<" + b"30" * 2000 + b">"]
)
def test_a_signature_that_is_none_is_not_proven(gap: bytes) -> None:
    head = b"%PDF-1.7\n"
    rest = f"/ByteRange [0 {len(head)} {len(head) + len(gap)} 99]".encode()
    with pytest.raises(NotProven, match="can't be read"):
        check_pdf_signature(head + gap + rest)


@pytest.mark.parametrize(
    "packing", [b"/JBIG2Decode", b"/BrotliDecode", b"/LZWDecode", b"/Nonsense", b"/JPXDecode"]
)
def test_files_packed_in_another_way_give_our_own_errors(packing: bytes) -> None:
    whole = unsigned()
    at = whole.index(b"/EmbeddedFile/")
    packed = whole.index(b"/FlateDecode", at - 200)
    put = packing.ljust(len(b"/FlateDecode"))
    read_or_refused(whole[:packed] + put + whole[packed + len(b"/FlateDecode") :])


def test_a_damaged_file_makes_no_noise(tmp_path: Path) -> None:
    (tmp_path / "cut.pdf").write_bytes(signed()[: len(unsigned()) - 400])
    code = (
        "import sys; from pathlib import Path\n"
        "from matbook.errors import NotProven\n"
        "from matbook.records.pdf import attachments_of, check_pdf_signature\n"
        "for look in (attachments_of, check_pdf_signature):\n"
        "    try: print(look(Path(sys.argv[1]).read_bytes()))\n"
        "    except NotProven as error: print(error)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "cut.pdf")],
        capture_output=True,
        text=True,
        check=True,
    )
    assert ran.stderr == ""
    assert ran.stdout.splitlines() == [
        "The files inside this PDF can't be read.",
        "This PDF carries no signature.",
    ]
