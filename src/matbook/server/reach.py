"""How a server is reached: which names it answers to, and that nothing leaves this machine plainly.

Off loopback there is HTTPS or nothing: without it a browser gives neither offline use nor the
camera, and a token could be read on its way.
"""

import json
from ipaddress import ip_address
from pathlib import Path
from typing import Final

from cryptography import x509

from matbook.errors import FileRefused, Refused
from matbook.server.house import Serving

LOOPBACK: Final = ("localhost", "127.0.0.1", "[::1]")
NOTE: Final = "serving.json"
"""Beside the books: the address that `matbook pair` puts into its code."""


def is_loopback(host: str) -> bool:
    """Whether a host to listen on is this machine alone."""
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def check(host: str, certified: bool, proxy_name: str | None) -> None:
    """Raise Refused if phones would have to come over a plain connection."""
    if not is_loopback(host) and not certified:
        raise Refused(
            "--host",
            host,
            "off this machine only HTTPS is served: give --certificate and --key, or listen on "
            "127.0.0.1 behind a proxy and give --proxy-name; docs/server.md shows both",
        )
    if proxy_name is not None:
        if certified or not is_loopback(host):
            raise Refused(
                "--proxy-name",
                proxy_name,
                "with a proxy in front, listen on 127.0.0.1 and let the proxy hold the certificate",
            )
        plain = proxy_name.replace(".", "").replace("-", "")
        if not plain.isalnum() or not plain.isascii() or len(proxy_name) > 253:
            raise Refused("--proxy-name", proxy_name, "it must be a name such as book.example.org")


def serving(host: str, port: int, certificate: Path | None, proxy_name: str | None) -> Serving:
    """How a server that listens there is reached.

    Args:
        host: Where it listens.
        port: On which port.
        certificate: What it shows; None for a plain connection.
        proxy_name: The name of the proxy in front of it, if there is one.

    Raises:
        FileRefused: The certificate can't be read, or names nobody.
    """
    if proxy_name is not None:
        name = proxy_name.lower()
        hosts = frozenset({name, f"{name}:443"})
        return Serving(f"https://{name}", hosts, accounts=True, proxied=True)
    scheme = "https" if certificate else "http"
    if is_loopback(host):
        hosts = frozenset(f"{name}:{port}" for name in LOOPBACK)
        return Serving(f"{scheme}://localhost:{port}", hosts)
    assert certificate is not None, "check() has been asked"
    names = names_in(certificate)
    hosts = frozenset(f"{name}:{port}" for name in names)
    if port == 443:
        hosts |= frozenset(names)
    plain = [name for name in names if not name.startswith("*") and name not in LOOPBACK]
    first = next(iter(plain or names))
    address = f"https://{first}" + ("" if port == 443 else f":{port}")
    return Serving(address, hosts, accounts=True)


def names_in(certificate: Path) -> list[str]:
    """The names and addresses that a certificate is for; the first is what phones are given."""
    try:
        found = x509.load_pem_x509_certificate(certificate.read_bytes())
        names = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except OSError as error:
        raise FileRefused(f"{certificate} can't be read: {error.strerror}.") from None
    except (ValueError, x509.ExtensionNotFound):
        raise FileRefused(
            f"{certificate} is no certificate in PEM form that names whom it is for."
        ) from None
    hosts = [name.lower() for name in names.get_values_for_type(x509.DNSName)]
    for address in names.get_values_for_type(x509.IPAddress):
        hosts.append(f"[{address}]" if ":" in str(address) else str(address))
    if not hosts:
        raise FileRefused(f"{certificate} names no host, so no phone would take it.")
    return hosts


def note(home: Path, served: Serving) -> None:
    """Leave a note of how phones reach this installation, for `matbook pair`."""
    if served.accounts:
        (home / NOTE).write_text(json.dumps({"address": served.address}), encoding="utf-8")


def noted(home: Path) -> str:
    """The address in that note; empty where there is none."""
    try:
        found = json.loads((home / NOTE).read_text(encoding="utf-8"))
        return str(found["address"])
    except (OSError, ValueError, KeyError, TypeError):
        return ""
