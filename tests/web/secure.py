"""A server for phones: HTTPS with a certificate of its own, accounts, and pairing."""

import json
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from tests.web.office import Office


class SecureOffice(Office):
    """Like `Office`, but open to phones: nobody gets in without having been paired."""

    scheme = "https"

    def options(self) -> list[str]:
        certificate, key = certified(self.home.parent)
        files = ["--certificate", str(certificate), "--key", str(key)]
        return ["--host", "0.0.0.0", *files]

    def code(self, person: str, role: str) -> str:
        """A one-time code, as `matbook pair` prints it."""
        command = [sys.executable, "-m", "matbook", "--home", str(self.home), "pair", person]
        command += ["--role", role, "--job", "harrow", "--address", self.address, "--json"]
        said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        return str(json.loads(said)["code"])


def certified(folder: Path) -> tuple[Path, Path]:
    """A certificate for this machine alone, and its key."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "localhost")])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=2))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("localhost")]), critical=False)
        .sign(key, hashes.SHA256())
    )
    paths = folder / "certificate.pem", folder / "key.pem"
    paths[0].write_bytes(made.public_bytes(serialization.Encoding.PEM))
    paths[1].write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    return paths
