"""The key of an installation: signs seals and records. Devices sign with the same kind of key.

ECDSA on the curve P-256 with SHA-256, in the forms of the Web Cryptography API, so that a browser
can check what is signed here and the other way round: a public key is its uncompressed point, a
signature is r and s in 32 bytes each, both as unpadded base64url.

Signing the same text twice gives the same signature (RFC 6979): the same book makes the same file.
"""

import base64
import hashlib
from datetime import UTC, datetime
from functools import cached_property
from typing import Final

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec, utils
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.x509.oid import NameOID

from matbook.errors import FileRefused, NotProven

FROM: Final = datetime(2000, 1, 1, tzinfo=UTC)
UNTIL: Final = datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC)
"""A certificate here only carries the key: it promises nothing that could run out (RFC 5280)."""
SIGNS: Final = x509.KeyUsage(True, True, *(False,) * 7)
"""The key signs and stands by what it signed; it is for nothing else."""
HALF: Final = 32
"""Bytes of r, and of s."""


class InstallationKey:
    """A private key, and what others need to know of it."""

    def __init__(self, private: ec.EllipticCurvePrivateKey) -> None:
        self._private = private

    @classmethod
    def create(cls) -> "InstallationKey":
        """A new key."""
        return cls(ec.generate_private_key(ec.SECP256R1()))

    @classmethod
    def from_pem(cls, pem: bytes) -> "InstallationKey":
        """A key as `pem` wrote it.

        Raises:
            FileRefused: This is no such key.
        """
        try:
            found = serialization.load_pem_private_key(pem, password=None)
        except (ValueError, TypeError):
            raise FileRefused("This is not a private key in PEM form without password.") from None
        if not isinstance(found, ec.EllipticCurvePrivateKey) or found.curve.name != "secp256r1":
            raise FileRefused("This private key is of another kind; P-256 is what is needed.")
        return cls(found)

    def pem(self) -> bytes:
        """The private key as a file's content; keep it where only its owner reads it."""
        return self._private.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )

    @cached_property
    def public_text(self) -> str:
        """The public key, to give away."""
        return pack(point(self._private.public_key()))

    @cached_property
    def fingerprint(self) -> str:
        """The public key in short, for people to compare."""
        return fingerprint(self.public_text)

    def sign(self, text: str) -> str:
        """The signature over a text in UTF-8."""
        r, s = utils.decode_dss_signature(self.sign_der(text.encode()))
        return pack(r.to_bytes(HALF) + s.to_bytes(HALF))

    def sign_der(self, raw: bytes) -> bytes:
        """The signature over some bytes in the form of X.509 and CMS."""
        return self._private.sign(raw, ec.ECDSA(SHA256(), deterministic_signing=True))

    def certificate(self, name: str, organisation: str = "") -> bytes:
        """A certificate of this key, signed by itself, in DER; the same key and names, the same.

        Args:
            name: What readers of a PDF show as the signer; cut at 64 bytes.
            organisation: Whose installation it is; cut at 64 bytes; may be empty.
        """
        named = ((NameOID.ORGANIZATION_NAME, organisation), (NameOID.COMMON_NAME, name))
        subject = x509.Name([x509.NameAttribute(oid, _cut(text)) for oid, text in named if text])
        public = self._private.public_key()
        serial = int.from_bytes(hashlib.sha256(point(public)).digest()[:19]) | 1
        built = (
            x509.CertificateBuilder(subject, subject, public, serial, FROM, UNTIL)
            .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
            .add_extension(SIGNS, critical=True)
            .sign(self._private, SHA256(), ecdsa_deterministic=True)
        )
        return built.public_bytes(serialization.Encoding.DER)


def _cut(text: str) -> str:
    """As much of a name as a certificate holds."""
    return text.encode()[:64].decode(errors="ignore")


def verify(public_text: str, text: str, signature: str) -> None:
    """Check a signature over a text.

    Args:
        public_text: Public key of the signer.
        text: What was signed.
        signature: As `sign` gives it.

    Raises:
        NotProven: The signature does not hold, or is none.
    """
    try:
        public = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), unpack(public_text))
        raw = unpack(signature)
        if len(raw) != 2 * HALF:
            raise ValueError
        r, s = int.from_bytes(raw[:HALF]), int.from_bytes(raw[HALF:])
        public.verify(utils.encode_dss_signature(r, s), text.encode(), ec.ECDSA(SHA256()))
    except (ValueError, InvalidSignature):
        raise NotProven("The signature does not hold.") from None


def fingerprint(public_text: str) -> str:
    """A public key in short: four groups of four hexadecimal digits of its SHA-256."""
    digest = hashlib.sha256(unpack(public_text)).hexdigest()
    return " ".join(digest[at : at + 4] for at in range(0, 16, 4))


def point(public: ec.EllipticCurvePublicKey) -> bytes:
    """A public key as its uncompressed point."""
    return public.public_bytes(
        serialization.Encoding.X962, serialization.PublicFormat.UncompressedPoint
    )


def pack(raw: bytes) -> str:
    """Bytes as unpadded base64url."""
    return base64.urlsafe_b64encode(raw).rstrip(b"=").decode()


def unpack(text: str) -> bytes:
    """Bytes from unpadded base64url; raises ValueError for anything else."""
    raw = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
    if pack(raw) != text:
        raise ValueError("This is not unpadded base64url.")
    return raw
