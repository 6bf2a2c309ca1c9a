"""An authority and a certificate of the shop's own, so that tablets on its network may speak https with it.

Sources
    Names and addresses in the subject alternative name, usage and key identifiers: RFC 5280. At most 825 days for a
    certificate of an authority that somebody installed on an iPad: Apple's support article 103769 (from memory).
    The authority may only vouch for this machine's names, `.local`, and addresses of private networks (name constraints,
    RFC 5280 4.2.1.10; RFC 1918, RFC 4193), so that whoever stole its key could not pose as a bank.
"""

from __future__ import annotations

import datetime as dt
import ipaddress
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shop.keeping.settled import settle

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric import ec

AUTHORITY_DAYS = 3650
CERTIFICATE_DAYS = 365
RENEW_BEFORE = dt.timedelta(days=60)
PRIVATE = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "127.0.0.0/8", "169.254.0.0/16")
PRIVATE_6 = ("::1/128", "fc00::/7", "fe80::/10")
ALWAYS = ("localhost", "127.0.0.1")


class NoCertificates(Exception):
    """The library that makes them is not installed; the message is one sentence with the command that mends it."""


@dataclass(frozen=True, slots=True)
class Certificates:
    """Where the shop's certificate, its key, and the authority's certificate lie."""

    folder: Path

    @property
    def certificate(self) -> Path:
        """What the server shows."""
        return self.folder / "server.pem"

    @property
    def key(self) -> Path:
        """The server's key."""
        return self.folder / "server.key"

    @property
    def authority(self) -> Path:
        """What a tablet has to trust."""
        return self.folder / "authority.pem"

    @property
    def authority_key(self) -> Path:
        """The authority's key; nothing takes it from this folder but a backup."""
        return self.folder / "authority.key"

    def fingerprint(self) -> str:
        """The authority's SHA-256 fingerprint in pairs, to be compared by eye."""
        from cryptography.hazmat.primitives import hashes  # noqa: PLC0415

        digest = _read_certificate(self.authority).fingerprint(hashes.SHA256()).hex().upper()
        return ":".join(digest[at : at + 2] for at in range(0, len(digest), 2))


def ready(folder: Path, names: Sequence[str], *, now: dt.datetime | None = None) -> Certificates:
    """The certificates in `folder` for these names and addresses; made, or renewed where due, broken or for changed names.

    The authority stays as long as it lasts and this machine keeps its name, so that tablets go on trusting it. Raises
    NoCertificates.
    """
    try:
        import cryptography  # noqa: F401, PLC0415
    except ImportError as error:
        raise NoCertificates(
            "https needs one more package: install it with  pip install cryptography  in the shop's environment."
        ) from error
    kept = Certificates(folder)
    now = now or dt.datetime.now(dt.UTC)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    wanted = sorted({*ALWAYS, *names})
    if not _lasts(kept.authority, kept.authority_key, now) or not _may_vouch_for(kept.authority, wanted):
        _make_authority(kept, wanted, now)
        _make_certificate(kept, wanted, now)
    elif not _lasts(kept.certificate, kept.key, now) or _names_in(kept.certificate) != wanted:
        _make_certificate(kept, wanted, now)
    return kept


def is_kept(folder: Path) -> bool:
    """Whether the shop speaks https with a certificate of its own, which then has to be renewed."""
    return Certificates(folder).certificate.exists()


def lasts_until(folder: Path) -> dt.datetime:
    """The moment at which the shop's certificate ends. Raises ValueError for one that is broken, OSError for one that is gone."""
    return _read_certificate(Certificates(folder).certificate).not_valid_after_utc


def _lasts(certificate: Path, key: Path, now: dt.datetime) -> bool:
    if not certificate.exists() or not key.exists():
        return False
    try:
        return _read_certificate(certificate).not_valid_after_utc - now > RENEW_BEFORE
    except ValueError:
        return False


def _may_vouch_for(authority: Path, names: Sequence[str]) -> bool:
    """Whether the authority's own limits allow these names: a machine that was renamed, or moved, needs a new one."""
    from cryptography import x509  # noqa: PLC0415

    limits = _read_certificate(authority).extensions.get_extension_for_class(x509.NameConstraints).value
    allowed = [one.value for one in limits.permitted_subtrees or []]
    hosts = [str(one) for one in allowed if isinstance(one, str)]
    networks = [one for one in allowed if not isinstance(one, str)]
    return all(
        any(ipaddress.ip_address(name) in network for network in networks)
        if _is_address(name)
        else any(name == host or name.endswith(f".{host}") for host in hosts)
        for name in names
    )


def _names_in(certificate: Path) -> list[str]:
    from cryptography import x509  # noqa: PLC0415

    extension = _read_certificate(certificate).extensions.get_extension_for_class(x509.SubjectAlternativeName)
    return sorted(str(one.value) for one in extension.value)


def _make_authority(kept: Certificates, names: Sequence[str], now: dt.datetime) -> None:
    from cryptography import x509  # noqa: PLC0415

    key = _new_key()
    host = next((name for name in names if not _is_address(name) and name != "localhost"), "this machine")
    name = _name(f"Mendwright on {host}"[:64])
    allowed: list[x509.GeneralName] = [x509.DNSName(one) for one in names if not _is_address(one)]
    allowed += [x509.DNSName("local")]
    # an address of this machine that is no private one is allowed by itself
    networks = [ipaddress.ip_network(one) for one in (*PRIVATE, *PRIVATE_6)]
    networks += [
        ipaddress.ip_network(one)
        for one in names
        if _is_address(one) and not any(ipaddress.ip_address(one) in net for net in networks)
    ]
    allowed += [x509.IPAddress(one) for one in networks]
    builder = _begin(name, name, key.public_key(), now, AUTHORITY_DAYS)
    builder = builder.add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
    builder = builder.add_extension(_usage(signs=True), critical=True)
    builder = builder.add_extension(x509.NameConstraints(allowed, None), critical=True)
    builder = builder.add_extension(
        x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False
    )
    _write(kept.authority_key, _key_bytes(key))
    _write(kept.authority, _certificate_bytes(_sign(builder, key)), mode=0o644)


def _make_certificate(kept: Certificates, names: Sequence[str], now: dt.datetime) -> None:
    from cryptography import x509  # noqa: PLC0415
    from cryptography.hazmat.primitives import serialization  # noqa: PLC0415

    signer: Any = serialization.load_pem_private_key(kept.authority_key.read_bytes(), password=None)
    authority = _read_certificate(kept.authority)
    key = _new_key()
    called = [
        x509.IPAddress(ipaddress.ip_address(one)) if _is_address(one) else x509.DNSName(one) for one in names
    ]
    builder = _begin(_name("Mendwright"), authority.subject, key.public_key(), now, CERTIFICATE_DAYS)
    builder = builder.add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
    builder = builder.add_extension(x509.SubjectAlternativeName(called), critical=False)
    builder = builder.add_extension(_usage(signs=False), critical=True)
    serves = x509.ExtendedKeyUsage([x509.oid.ExtendedKeyUsageOID.SERVER_AUTH])
    builder = builder.add_extension(serves, critical=False)
    builder = builder.add_extension(
        x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False
    )
    issuer = x509.AuthorityKeyIdentifier.from_issuer_public_key(signer.public_key())
    builder = builder.add_extension(issuer, critical=False)
    _write(kept.key, _key_bytes(key))
    _write(kept.certificate, _certificate_bytes(_sign(builder, signer)), mode=0o644)


# --- small pieces -------------------------------------------------------------------------------------------------


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def _new_key() -> ec.EllipticCurvePrivateKey:
    from cryptography.hazmat.primitives.asymmetric import ec  # noqa: PLC0415

    return ec.generate_private_key(ec.SECP256R1())


def _name(common: str) -> x509.Name:
    from cryptography import x509  # noqa: PLC0415

    return x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, common)])


def _usage(*, signs: bool) -> x509.KeyUsage:
    from cryptography import x509  # noqa: PLC0415

    return x509.KeyUsage(
        digital_signature=not signs,
        key_cert_sign=signs,
        crl_sign=signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _begin(
    subject: x509.Name, issuer: x509.Name, public: ec.EllipticCurvePublicKey, now: dt.datetime, days: int
) -> x509.CertificateBuilder:
    from cryptography import x509  # noqa: PLC0415

    builder = x509.CertificateBuilder(subject_name=subject, issuer_name=issuer, public_key=public)
    builder = builder.serial_number(x509.random_serial_number())
    # an hour back: a tablet's clock may lag
    builder = builder.not_valid_before(now - dt.timedelta(hours=1))
    return builder.not_valid_after(now + dt.timedelta(days=days))


def _sign(builder: x509.CertificateBuilder, key: ec.EllipticCurvePrivateKey) -> x509.Certificate:
    from cryptography.hazmat.primitives import hashes  # noqa: PLC0415

    return builder.sign(key, hashes.SHA256())


def _read_certificate(path: Path) -> x509.Certificate:
    from cryptography import x509  # noqa: PLC0415

    return x509.load_pem_x509_certificate(path.read_bytes())


def _certificate_bytes(certificate: x509.Certificate) -> bytes:
    from cryptography.hazmat.primitives.serialization import Encoding  # noqa: PLC0415

    return certificate.public_bytes(Encoding.PEM)


def _key_bytes(key: ec.EllipticCurvePrivateKey) -> bytes:
    from cryptography.hazmat.primitives.serialization import (  # noqa: PLC0415
        Encoding,
        NoEncryption,
        PrivateFormat,
    )

    return key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())


def _write(path: Path, content: bytes, *, mode: int = 0o600) -> None:
    """Replace the file in one step, so that a server that reads it meanwhile never gets half of it."""
    draft = path.with_name(f"{path.name}.{os.getpid()}")
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, mode)
    with os.fdopen(descriptor, "wb") as file:
        file.write(content)
    settle(draft)
    draft.replace(path)
    settle(path)
