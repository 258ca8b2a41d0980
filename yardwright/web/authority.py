"""The yard's own authority: certificates for https on the yard's own network.

A phone that trusts it works offline at the boat. It may speak for names that end in ``.local`` and
for addresses of private networks alone, so a stolen key can't stand for anybody else's site.
"""

import ipaddress
import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from yardwright.yard.refused import Refused

AUTHORITY_GOOD_FOR = timedelta(days=3650)
SERVER_GOOD_FOR = timedelta(days=397)  # phones take none that lasts longer
RENEWED_BEFORE = timedelta(days=30)
SLACK = timedelta(days=1)  # a phone's clock may be behind

PRIVATE = ("127.0.0.0/8", "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16")
NAMES = ("local", "localhost")
OWNER_ONLY = 0o600


@dataclass(frozen=True, slots=True)
class Certificate:
    """A certificate and its key, as files."""

    certificate: Path
    key: Path


def authority_of(home: Path) -> Certificate:
    """Where a yard's own authority lies."""
    return Certificate(home / "authority.crt", home / "authority.key")


def server_certificate(home: Path, names: Sequence[str], now: datetime) -> Certificate:
    """The server's certificate by the yard's own authority; both are made where they are missing.

    Parameters
    ----------
    home : Path
        The yard's folder.
    names : sequence of str
        What phones type: names that end in ``.local``, addresses of a private network.
    now : datetime
        The real time, with its zone.

    Returns
    -------
    Certificate
        As it was; made anew where its names have changed or it is about to run out.

    Raises
    ------
    Refused
        A name that the yard's own authority may not speak for.
    """
    wanted = [spoken_for(name) for name in dict.fromkeys([*names, "localhost", "127.0.0.1"])]
    ours = Certificate(home / "server.crt", home / "server.key")
    authority = authority_of(home)
    if not authority.certificate.exists():
        _make_authority(authority, now)
    if not _still_good(ours, authority, wanted, now):
        _make_server(ours, authority, wanted, now)
    return ours


def fingerprint(home: Path) -> str:
    """What a person compares, phone against desk, before trusting the authority: SHA-256 in pairs."""
    return _read(authority_of(home)).fingerprint(hashes.SHA256()).hex(" ").upper()


def spoken_for(name: str) -> x509.GeneralName:
    """The name as a certificate has it; Refused where the authority may not speak for it."""
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        if name.rpartition(".")[2] not in NAMES:
            raise Refused(
                f"The yard's own authority can't speak for {name}.",
                "Give a name that ends in .local or an address such as 192.168.1.20; "
                "a name of the internet wants a certificate of its own: --certificate and --key.",
            ) from None
        return x509.DNSName(name)
    if not any(address in ipaddress.ip_network(net) for net in PRIVATE):
        raise Refused(
            f"{name} is no address of a private network.",
            "Give one such as 192.168.1.20, as the yard's router shows it for this machine.",
        )
    return x509.IPAddress(address)


def _make_authority(files: Certificate, now: datetime) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    name = _subject("This yard's own authority")
    may = [x509.DNSName(name) for name in NAMES]
    nets = [x509.IPAddress(ipaddress.ip_network(net)) for net in PRIVATE]
    made = (
        _builder(name, name, key.public_key(), now, AUTHORITY_GOOD_FOR)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_may(sign=True), critical=True)
        .add_extension(x509.NameConstraints([*may, *nets], None), critical=True)
        .sign(key, hashes.SHA256())
    )
    _write(files, made, key)


def _make_server(
    files: Certificate, authority: Certificate, names: list[x509.GeneralName], now: datetime
) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    by, signer = _read(authority), _key(authority)
    made = (
        _builder(_subject("The yard's server"), by.subject, key.public_key(), now, SERVER_GOOD_FOR)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_may(sign=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(signer.public_key()), critical=False
        )
        .sign(signer, hashes.SHA256())
    )
    _write(files, made, key)


def _builder(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePublicKey,
    now: datetime,
    good_for: timedelta,
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - SLACK)
        .not_valid_after(now + good_for - SLACK)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
    )


def _subject(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def _may(*, sign: bool) -> x509.KeyUsage:
    """An authority signs certificates, a server its greeting."""
    return x509.KeyUsage(
        digital_signature=not sign,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=sign,
        crl_sign=sign,
        encipher_only=False,
        decipher_only=False,
    )


def _still_good(
    files: Certificate, authority: Certificate, names: list[x509.GeneralName], now: datetime
) -> bool:
    if not (files.certificate.exists() and files.key.exists()):
        return False
    held, key = _read(files), _key(files)
    told = held.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    fits = held.public_key() == key.public_key() and _is_by(held, _read(authority))
    return fits and list(told) == names and now + RENEWED_BEFORE < held.not_valid_after_utc


def _is_by(held: x509.Certificate, authority: x509.Certificate) -> bool:
    """Signed by this very authority: one that was made anew has the old one's name."""
    try:
        held.verify_directly_issued_by(authority)
    except (ValueError, InvalidSignature):
        return False
    return True


def _read(files: Certificate) -> x509.Certificate:
    return x509.load_pem_x509_certificate(files.certificate.read_bytes())


def _key(files: Certificate) -> ec.EllipticCurvePrivateKey:
    if not files.key.is_file():
        raise Refused(
            f"{files.key} is missing.",
            f"Bring it back; or delete {files.certificate}, start again and let each phone trust anew.",
        )
    key = serialization.load_pem_private_key(files.key.read_bytes(), None)
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        raise Refused(f"{files.key} is no key of ours.", "Bring back the one that was made.")
    return key


def _write(files: Certificate, made: x509.Certificate, key: ec.EllipticCurvePrivateKey) -> None:
    text = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    beside = files.key.with_suffix(".new")
    with os.fdopen(
        os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, OWNER_ONLY), "wb"
    ) as file:
        file.write(text)
    beside.replace(files.key)
    files.certificate.write_bytes(made.public_bytes(serialization.Encoding.PEM))
