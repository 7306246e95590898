"""A signature over a file in the form that PDF readers know: detached CMS (RFC 5652).

It is put together in exactly one way. So a check puts it together again, from the certificate,
the moment and the raw signature that it finds, and compares every byte: no other way of writing
the same signature passes for it.
"""

import hashlib
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from asn1crypto import cms, tsp  # type: ignore[import-untyped]
from asn1crypto import x509 as asn1
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256

from matbook.errors import NotProven
from matbook.seal.keys import InstallationKey, fingerprint, pack

BROKEN: Final = (ValueError, TypeError, LookupError, AttributeError, ArithmeticError)
"""What the reader of ASN.1 raises when bytes are not what they should be."""


@dataclass(frozen=True)
class Signature:
    """What a signature is made of."""

    certificate: bytes
    when: datetime
    raw: bytes

    @property
    def fingerprint(self) -> str:
        """Fingerprint of the key that signed."""
        return fingerprint(pack(self._point))

    @property
    def _point(self) -> bytes:
        about = asn1.Certificate.load(self.certificate).public_key
        if about["algorithm"].native != {"algorithm": "ec", "parameters": "secp256r1"}:
            raise ValueError("The key is of another kind than P-256.")
        return bytes(about["public_key"].native)

    def holds(self, digest: bytes) -> bool:
        """Whether the key signed a file with this SHA-256."""
        signed = _attributes(self.certificate, digest, self.when).untag().dump()
        public = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), self._point)
        try:
            public.verify(self.raw, signed, ec.ECDSA(SHA256()))
        except InvalidSignature:
            return False
        return True

    def proves(self, written: bytes, digest: bytes) -> bool:
        """Whether this is how the signature over a file with this SHA-256 is written.

        A file keeps more room than a signature takes: zeros may follow, and nothing else.
        """
        try:
            expected = self.written(digest).ljust(len(written), b"\0")
            return written == expected and self.holds(digest)
        except BROKEN:
            return False

    def written(self, digest: bytes) -> bytes:
        """The signature as it is written into a file with this SHA-256."""
        certificate = asn1.Certificate.load(self.certificate)
        sha256 = {"algorithm": "sha256"}
        issued = {"issuer": certificate.issuer, "serial_number": certificate.serial_number}
        signer = {
            "version": "v1",
            "sid": cms.SignerIdentifier("issuer_and_serial_number", issued),
            "digest_algorithm": sha256,
            "signed_attrs": _attributes(self.certificate, digest, self.when),
            "signature_algorithm": {"algorithm": "sha256_ecdsa"},
            "signature": self.raw,
        }
        whole = {
            "version": "v1",
            "digest_algorithms": [sha256],
            "encap_content_info": {"content_type": "data"},
            "certificates": [certificate],
            "signer_infos": [signer],
        }
        content = {"content_type": "signed_data", "content": cms.SignedData(whole)}
        return bytes(cms.ContentInfo(content).dump())


def signed(key: InstallationKey, certificate: bytes, digest: bytes, when: datetime) -> Signature:
    """Sign a file.

    Args:
        key: Of the installation.
        certificate: Of this key, in DER.
        digest: SHA-256 of what is signed.
        when: The moment that the signature names; to the second.
    """
    moment = when.astimezone(UTC).replace(microsecond=0)
    signed = _attributes(certificate, digest, moment).untag().dump()
    return Signature(certificate, moment, key.sign_der(signed))


def opened(written: bytes) -> Signature:
    """Take a written signature apart.

    Raises:
        NotProven: It is not such a signature.
    """
    try:
        whole = cms.ContentInfo.load(written)["content"]
        (certificate,), (signer,) = whole["certificates"], whole["signer_infos"]
        found = {attribute["type"].native: attribute for attribute in signer["signed_attrs"]}
        (when,) = found["signing_time"]["values"].native
        signature = Signature(certificate.dump(), when, signer["signature"].native)
        signature.fingerprint  # noqa: B018 - a key that can't be read shows itself here
    except BROKEN:
        raise NotProven("The signature in this file can't be read.") from None
    return signature


def _attributes(certificate: bytes, digest: bytes, when: datetime) -> cms.CMSAttributes:
    """What the key signs: the file's digest, the moment, and which certificate this is."""
    named = tsp.ESSCertIDv2({"cert_hash": hashlib.sha256(certificate).digest()})
    form = "utc_time" if 1950 <= when.year < 2050 else "generalized_time"  # RFC 5652, 11.3
    values = {
        "content_type": "data",
        "signing_time": cms.Time({form: when}),
        "message_digest": digest,
        "signing_certificate_v2": tsp.SigningCertificateV2({"certs": [named]}),
    }
    return cms.CMSAttributes([{"type": name, "values": [v]} for name, v in values.items()])
