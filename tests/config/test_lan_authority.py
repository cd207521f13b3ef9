"""The authority signs for local names only, renews its leaf by itself, and keeps its key to this account."""

import socket
import ssl
import threading
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address, IPv4Network, ip_address

import pytest
from cryptography import x509
from hypothesis import given
from hypothesis import strategies as st

from herd.config import lanauthority
from herd.config.lanauthority import AUTHORITY_DAYS, RENEW_DAYS, Authority, AuthorityLost
from herd.config.lannames import PRIVATE, LanNames, host_name, is_private, names_of_machine
from tests.config.lanparty import AT_FIRST, AT_SECOND, FIRST, HOST, trusting


@pytest.fixture
def authority(tmp_path):
    made = Authority(tmp_path / "lan")
    made.prepare(AT_FIRST)
    return made


def leaf_of(authority):
    return x509.load_pem_x509_certificate(authority.leaf.read_bytes())


def shake(authority, host, trust=None):
    """A TLS handshake over a pair of sockets; the certificate that the visitor accepted."""
    ours, theirs = socket.socketpair()

    def serve():
        try:
            authority.context().wrap_socket(ours, server_side=True).close()
        except OSError:
            ours.close()

    thread = threading.Thread(target=serve)
    thread.start()
    try:
        trust = trust or trusting(authority.folder)
        with trust.wrap_socket(theirs, server_hostname=host) as visitor:
            return visitor.getpeercert()
    finally:
        theirs.close()
        thread.join()


@pytest.mark.parametrize("host", [HOST, str(FIRST), "localhost", "127.0.0.1"])
def test_whoever_trusts_the_authority_reaches_every_local_name(authority, host):
    assert shake(authority, host)


@pytest.mark.parametrize("host", ["other.local", "127.0.0.9", "192.168.1.9", "::1", "herd.example"])
def test_another_name_fails(authority, host):
    with pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
        shake(authority, host)


def test_whoever_does_not_trust_it_is_warned(authority):
    with pytest.raises(ssl.SSLCertVerificationError, match="unable to get local issuer"):
        shake(authority, HOST, ssl.create_default_context())


@pytest.mark.parametrize("names", [LanNames("bank.example", ()), LanNames(HOST, (IPv4Address("93.184.216.34"),))])
def test_even_with_its_key_it_can_not_speak_for_the_world(authority, names):
    """Whoever has stolen the key signs what it likes; a phone believes none of it (RFC 5280, 4.2.1.10)."""
    authority.leaf.unlink()
    authority.prepare(names)
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"):
        shake(authority, names.host)


def test_files_are_for_this_account_only(authority):
    assert authority.folder.stat().st_mode & 0o777 == 0o700
    for path in (authority.key, authority.leaf):
        assert path.stat().st_mode & 0o777 == 0o600


def test_the_leaf_lives_shorter_than_browsers_allow_and_is_no_authority(authority):
    leaf = leaf_of(authority)
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc <= timedelta(days=398)
    assert leaf.extensions.get_extension_for_class(x509.BasicConstraints).value.ca is False
    constraints = x509.load_pem_x509_certificate(authority.certificate.read_bytes()).extensions
    assert constraints.get_extension_for_class(x509.NameConstraints).critical


def test_a_leaf_is_kept_while_it_is_good_and_renewed_in_time(authority):
    first, root = leaf_of(authority), authority.fingerprint()
    assert authority.prepare(AT_FIRST) is False
    assert leaf_of(authority) == first
    soon = first.not_valid_after_utc - timedelta(days=RENEW_DAYS) + timedelta(minutes=1)
    assert authority.prepare(AT_FIRST, soon - timedelta(hours=1)) is False
    assert authority.prepare(AT_FIRST, soon) is True
    assert leaf_of(authority).not_valid_after_utc > soon + timedelta(days=100)
    assert authority.fingerprint() == root


def test_another_network_brings_another_leaf_of_the_same_authority(authority):
    root = authority.fingerprint()
    assert authority.prepare(AT_SECOND) is True
    said = leaf_of(authority).extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert ip_address("127.0.0.3") in said.get_values_for_type(x509.IPAddress)
    assert FIRST not in said.get_values_for_type(x509.IPAddress)
    assert authority.fingerprint() == root


def test_a_leaf_that_is_spoilt_or_of_another_authority_is_made_anew(authority, tmp_path):
    other = Authority(tmp_path / "other")
    other.prepare(AT_FIRST)
    for content in (b"", b"nonsense", other.leaf.read_bytes()):
        authority.leaf.write_bytes(content)
        assert authority.prepare(AT_FIRST) is True
        assert shake(authority, HOST)


@pytest.mark.parametrize("name", ["authority.crt", "authority.key"])
def test_a_lost_authority_is_told_with_what_to_do(authority, name):
    (authority.folder / name).write_bytes(b"nonsense")
    authority.leaf.unlink()
    with pytest.raises(AuthorityLost, match=rf"{name} can't be read. Put it back from a copy, or delete the folder"):
        authority.prepare(AT_FIRST)


def test_an_authority_near_its_end_is_told_with_what_to_do(authority):
    with pytest.raises(AuthorityLost, match="Delete that folder; the next start makes a new one"):
        authority.prepare(AT_FIRST, datetime.now(UTC) + timedelta(days=AUTHORITY_DAYS - 30))


def test_a_start_killed_between_certificate_and_key_begins_anew(tmp_path, monkeypatch):
    authority, write = Authority(tmp_path / "lan"), lanauthority._write

    def die_at_key(path, content):
        if path.name == "authority.key":
            raise KeyboardInterrupt
        write(path, content)

    monkeypatch.setattr(lanauthority, "_write", die_at_key)
    with pytest.raises(KeyboardInterrupt):
        authority.prepare(AT_FIRST)
    monkeypatch.setattr(lanauthority, "_write", write)
    authority.prepare(AT_FIRST)
    assert shake(authority, HOST)


def test_two_starts_at_once_make_one_authority(tmp_path):
    folder, found = tmp_path / "lan", []

    def start():
        authority = Authority(folder)
        authority.prepare(AT_FIRST)
        found.append(authority.fingerprint())

    threads = [threading.Thread(target=start) for _ in range(6)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert len(found) == 6
    assert len(set(found)) == 1


@given(st.text(max_size=80))
def test_any_machine_name_becomes_a_label(text):
    label, _, domain = host_name(text).partition(".")
    assert domain == "local"
    assert 1 <= len(label) <= 63
    assert set(label) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert not label.startswith("-")
    assert not label.endswith("-")


@given(st.ip_addresses(v=4))
def test_only_private_addresses_are_taken(address):
    inside = any(address in network for network in PRIVATE if isinstance(network, IPv4Network))
    assert is_private(address) == inside
    if address.is_global:
        assert not inside


def test_this_machine_has_a_name_and_private_addresses_or_none():
    names = names_of_machine()
    assert names.host.endswith(".local")
    assert all(is_private(one) and not one.is_loopback for one in names.addresses)
    assert names.hosts[-2:] == ["localhost", "127.0.0.1"]
