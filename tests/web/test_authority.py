"""The yard's own authority: what it makes is checked by OpenSSL, through Python's own ssl module."""

import ipaddress
import ssl
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509

from yardwright.web import authority
from yardwright.web.reached import Reached
from yardwright.yard.refused import Refused

NOW = datetime.now(UTC)
NAMES = ("heron.local", "192.168.1.20")


def greeted(home: Path, name: str) -> str:
    """What a client that trusts the authority alone says of the server: nothing, or its refusal."""
    files = authority.Certificate(home / "server.crt", home / "server.key")
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(files.certificate, files.key)
    asking = ssl.create_default_context(cafile=str(authority.authority_of(home).certificate))
    there, back = ssl.MemoryBIO(), ssl.MemoryBIO()
    client = asking.wrap_bio(back, there, server_hostname=name)
    server = serving.wrap_bio(there, back, server_side=True)
    for side in (client, server, client):
        try:
            side.do_handshake()
        except ssl.SSLWantReadError:
            continue
        except ssl.SSLCertVerificationError as refusal:
            return refusal.verify_message
    return ""


def made(home: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate((home / "server.crt").read_bytes())


@pytest.mark.parametrize("name", [*NAMES, "localhost", "127.0.0.1"])
def test_a_phone_that_trusts_it_takes_the_server(tmp_path: Path, name: str) -> None:
    authority.server_certificate(tmp_path, NAMES, NOW)
    assert greeted(tmp_path, name) == ""


def test_another_name_is_not_taken(tmp_path: Path) -> None:
    authority.server_certificate(tmp_path, NAMES, NOW)
    assert "not valid for 'kestrel.local'" in greeted(tmp_path, "kestrel.local")


def test_its_key_can_t_speak_for_the_internet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Whoever stole the key would sign for any name: OpenSSL holds the authority to its constraints.
    monkeypatch.setattr(authority, "spoken_for", lambda name: x509.DNSName(name))
    authority.server_certificate(tmp_path, ["bank.example.org"], NOW)
    assert "permitted subtree violation" in greeted(tmp_path, "bank.example.org")


@pytest.mark.parametrize(
    ("name", "says"),
    [("boats.example.org", "--certificate and --key"), ("203.0.113.9", "private network")],
)
def test_a_name_of_the_internet_is_refused(tmp_path: Path, name: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        authority.server_certificate(tmp_path, [name], NOW)


def test_keys_are_their_owner_s_alone(tmp_path: Path) -> None:
    authority.server_certificate(tmp_path, NAMES, NOW)
    for key in ("authority.key", "server.key"):
        assert stat.S_IMODE((tmp_path / key).stat().st_mode) == 0o600


def test_it_stays_until_its_names_change_or_it_runs_out(tmp_path: Path) -> None:
    def serial(names: tuple[str, ...], now: datetime) -> int:
        authority.server_certificate(tmp_path, names, now)
        return made(tmp_path).serial_number

    first = serial(NAMES, NOW)
    by = authority.fingerprint(tmp_path)
    assert serial(NAMES, NOW + timedelta(days=300)) == first
    renewed = serial(NAMES, NOW + timedelta(days=380))
    assert renewed != first
    assert serial(("heron.local",), NOW + timedelta(days=380)) != renewed
    assert authority.fingerprint(tmp_path) == by  # no phone need be told again


def test_a_key_that_does_not_fit_is_made_anew(tmp_path: Path) -> None:
    authority.server_certificate(tmp_path, NAMES, NOW)
    (tmp_path / "server.key").write_bytes((tmp_path / "authority.key").read_bytes())
    authority.server_certificate(tmp_path, NAMES, NOW)
    assert greeted(tmp_path, "heron.local") == ""


def test_an_authority_made_anew_signs_anew(tmp_path: Path) -> None:
    # What the page says to do where its key was copied by a stranger.
    authority.server_certificate(tmp_path, NAMES, NOW)
    before = authority.fingerprint(tmp_path)
    for name in ("authority.crt", "authority.key"):
        (tmp_path / name).unlink()
    authority.server_certificate(tmp_path, NAMES, NOW)
    assert authority.fingerprint(tmp_path) != before
    assert greeted(tmp_path, "heron.local") == ""


def test_an_authority_without_its_key_says_what_to_do(tmp_path: Path) -> None:
    authority.server_certificate(tmp_path, NAMES, NOW)
    (tmp_path / "authority.key").unlink()
    authority.server_certificate(tmp_path, NAMES, NOW)  # good as it is
    with pytest.raises(Refused, match=r"authority\.key is missing"):
        authority.server_certificate(tmp_path, ("kestrel.local",), NOW)


def test_what_phones_ask_of_a_certificate(tmp_path: Path) -> None:
    # The rules that makers of phones publish for certificates of an authority that a person added:
    # names in the alternative name, server authentication named, good for 825 days at most.
    authority.server_certificate(tmp_path, NAMES, NOW)
    held = made(tmp_path)
    assert held.not_valid_after_utc - held.not_valid_before_utc <= timedelta(days=825)
    names = held.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert "heron.local" in names.get_values_for_type(x509.DNSName)
    assert ipaddress.ip_address("192.168.1.20") in names.get_values_for_type(x509.IPAddress)
    use = held.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert x509.oid.ExtendedKeyUsageOID.SERVER_AUTH in use
    assert not held.extensions.get_extension_for_class(x509.BasicConstraints).value.ca


def test_https_wants_a_name_and_files_that_are_there(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="Say what phones will type"):
        Reached("0.0.0.0", 8000, (), own_authority=True, given=None)  # noqa: S104
    missing = (tmp_path / "no.pem", tmp_path / "no.key")
    with pytest.raises(Refused, match="is not there"):
        Reached("0.0.0.0", 8000, ("boats.example.org",), own_authority=False, given=missing)  # noqa: S104
