"""Keys: what is signed can be checked, here and by others; what was changed can't."""

import re
from random import Random

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec, ed25519
from cryptography.x509.oid import NameOID

from matbook.errors import FileRefused, NotProven
from matbook.records.verifier import check_signature
from matbook.seal.keys import InstallationKey, fingerprint, pack, unpack, verify
from matbook.seal.sealing import signed_text

KEY = InstallationKey.create()
TEXT = "Closed at 19:42, 533 entries."
SIGNATURE = KEY.sign(TEXT)

RFC_KEY = 0xC9AFA9D845BA75166B5C215767B1D6934E50C3DB36E89B127B8A622B120F6721
RFC_POINT = (
    "0460FED4BA255A9D31C961EB74C6356D68C049B8923B61FA6CE669622E60F29FB6"
    "7903FE1008B8BC99A41AE9E95628BC64F2F1B20C2D7E9F5177A3C294D4462299"
)
RFC_SIGNATURES = [
    (
        "sample",
        "EFD48B2AACB6A8FD1140DD9CD45E81D69D2C877B56AAF991C34D0EA84EAF3716"
        "F7CB1C942D657C41D436C7A1B6E29F65F3E900DBB9AFF4064DC4AB2F843ACDA8",
    ),
    (
        "test",
        "F1ABB023518351CD71D881567B1EA663ED3EFCF6C5132B354F28D3B0B7D38367"
        "019F4113742A2B14BD25926B49C649155F267E60D3814B4C0CC84250E46F0083",
    ),
]


@pytest.mark.parametrize(("text", "expected"), RFC_SIGNATURES)
def test_signatures_are_the_published_ones(text: str, expected: str) -> None:
    """RFC 6979 (2013), A.2.5, ECDSA with P-256 and SHA-256; values from memory."""
    key = InstallationKey(ec.derive_private_key(RFC_KEY, ec.SECP256R1()))
    assert key.public_text == pack(bytes.fromhex(RFC_POINT))
    assert key.sign(text) == pack(bytes.fromhex(expected))


def test_a_signature_holds_over_its_text_alone() -> None:
    verify(KEY.public_text, TEXT, SIGNATURE)
    for changed in (TEXT + " ", TEXT[:-1], TEXT.replace("533", "532"), "", "\ud800"):
        with pytest.raises(NotProven, match="does not hold"):
            verify(KEY.public_text, changed, SIGNATURE)


def test_a_signature_holds_for_its_key_alone() -> None:
    with pytest.raises(NotProven):
        verify(InstallationKey.create().public_text, TEXT, SIGNATURE)


def test_any_changed_character_of_a_signature_shows() -> None:
    dice = Random(20260603)
    others = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_=+/ é"
    for at in range(len(SIGNATURE)):
        other = dice.choice([c for c in others if c != SIGNATURE[at]])
        with pytest.raises(NotProven):
            verify(KEY.public_text, TEXT, SIGNATURE[:at] + other + SIGNATURE[at + 1 :])


def test_what_is_no_signature_does_not_hold() -> None:
    for bad in ("", "x", "====", SIGNATURE[:-2], SIGNATURE + "AA", "A" * 86):
        with pytest.raises(NotProven):
            verify(KEY.public_text, TEXT, bad)


@pytest.mark.parametrize("bad", ["", "x", "AAAA", pack(b"\x04" + bytes(64)), "é"])
def test_what_is_no_key_proves_nothing(bad: str) -> None:
    with pytest.raises(NotProven):
        verify(bad, TEXT, SIGNATURE)


def test_keys_and_signatures_have_the_form_that_browsers_use() -> None:
    """Web Cryptography API (W3C, 2017): raw public key, and r beside s."""
    assert unpack(KEY.public_text)[0] == 4
    assert (len(unpack(KEY.public_text)), len(unpack(SIGNATURE))) == (65, 64)
    assert re.fullmatch("[A-Za-z0-9_-]+", KEY.public_text + SIGNATURE)


def test_a_key_comes_back_from_its_file() -> None:
    again = InstallationKey.from_pem(KEY.pem())
    assert (again.public_text, again.sign(TEXT)) == (KEY.public_text, SIGNATURE)


def test_another_file_is_no_key() -> None:
    def pem(key: ec.EllipticCurvePrivateKey | ed25519.Ed25519PrivateKey) -> bytes:
        forms = serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8
        return key.private_bytes(*forms, serialization.NoEncryption())

    for bad in (b"", b"\xff\x00", KEY.pem()[:-40]):
        with pytest.raises(FileRefused, match="not a private key"):
            InstallationKey.from_pem(bad)
    for other in (ec.generate_private_key(ec.SECP384R1()), ed25519.Ed25519PrivateKey.generate()):
        with pytest.raises(FileRefused, match="another kind"):
            InstallationKey.from_pem(pem(other))


def test_a_locked_key_is_refused() -> None:
    private = ec.generate_private_key(ec.SECP256R1())
    lock = serialization.BestAvailableEncryption(b"invented")
    forms = serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8
    with pytest.raises(FileRefused, match="without password"):
        InstallationKey.from_pem(private.private_bytes(*forms, lock))


def test_people_can_compare_fingerprints() -> None:
    assert re.fullmatch("([0-9a-f]{4} ){3}[0-9a-f]{4}", KEY.fingerprint)
    assert fingerprint(KEY.public_text) == KEY.fingerprint
    assert InstallationKey.create().fingerprint != KEY.fingerprint


def test_a_certificate_carries_the_key_and_the_names() -> None:
    made = KEY.certificate("Matbook installation", "Merrow County (invented)")
    certificate = x509.load_der_x509_certificate(made)
    certificate.verify_directly_issued_by(certificate)
    names = {each.oid: each.value for each in certificate.subject}
    assert names == {
        NameOID.COMMON_NAME: "Matbook installation",
        NameOID.ORGANIZATION_NAME: "Merrow County (invented)",
    }
    public = certificate.public_key()
    assert isinstance(public, ec.EllipticCurvePublicKey)
    assert InstallationKey.from_pem(KEY.pem())._private.public_key() == public
    assert KEY.certificate("Matbook installation", "Merrow County (invented)") == made


def test_a_certificate_takes_long_names_and_none() -> None:
    made = x509.load_der_x509_certificate(KEY.certificate("n" * 100))
    assert [(each.oid, each.value) for each in made.subject] == [(NameOID.COMMON_NAME, "n" * 64)]
    made = x509.load_der_x509_certificate(KEY.certificate("x" + "å" * 90))
    (cut,) = made.subject
    assert cut.value == "x" + "å" * 31  # 63 bytes: the next letter would need two


def test_the_verifier_in_a_bundle_prints_the_same_fingerprint() -> None:
    body = {"count": 0, "key": KEY.public_text}
    signature = KEY.sign(signed_text("job", "shift", body))
    seal = {"job": "job", "shift": "shift", "written": "2026-06-03T19:42:00+00:00"}
    proven, sentence = check_signature("0" * 64, seal | {"body": body | {"signature": signature}})
    assert proven
    assert KEY.fingerprint in sentence
