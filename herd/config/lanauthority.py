"""The certificate authority of one installation: it can speak for names of a local network only, and signs one leaf.

Its key never leaves the folder; whoever has it can pose as any local site before those who trust it.
"""

import os
import ssl
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from herd.config.lannames import LOCAL_DOMAIN, PRIVATE, LanNames
from herd.config.locks import file_lock

AUTHORITY_DAYS = 3650
# Browsers refuse leaves of more than 398 days; a shorter one does less harm when its key is lost.
LEAF_DAYS = 180
RENEW_DAYS = 45
# A machine whose clock is a little slow sees the certificate as valid too.
BACKDATED = timedelta(days=1)


class AuthorityLost(Exception):  # noqa: N818
    """The authority's files can't be used; the text is a sentence that says what to do."""


@dataclass(frozen=True, slots=True)
class Authority:
    """The authority and its leaf, in files of one folder that only this account can read."""

    folder: Path

    @property
    def certificate(self) -> Path:
        """The authority's certificate: what a phone is asked to trust."""
        return self.folder / "authority.crt"

    @property
    def key(self) -> Path:
        """The authority's key."""
        return self.folder / "authority.key"

    @property
    def leaf(self) -> Path:
        """The leaf's key and certificate, in one file, so that they can't differ."""
        return self.folder / "site.pem"

    def prepare(self, names: LanNames, now: datetime | None = None) -> bool:
        """Make what is missing, and a new leaf where the old one ends soon or names others; whether it made one.

        Raises AuthorityLost.
        """
        moment = now or datetime.now(UTC)
        self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        os.chmod(self.folder, 0o700)
        with file_lock(self.folder / "lock"):
            if not self.key.exists():
                self._make(names.host, moment)
            authority = self._read()
            if moment > authority.not_valid_after_utc - timedelta(days=LEAF_DAYS):
                raise AuthorityLost(
                    f"The authority in {self.folder} ends on {authority.not_valid_after_utc:%Y-%m-%d}. Delete that "
                    "folder; the next start makes a new one, which every phone has to trust anew."
                )
            if self._has_leaf(names, authority, moment):
                return False
            self._sign(names, authority, moment)
            return True

    def fingerprint(self) -> str:
        """The SHA-256 fingerprint of the authority's certificate, in pairs of hexadecimal digits."""
        return self._read().fingerprint(hashes.SHA256()).hex(":").upper()

    def pem(self) -> bytes:
        """The authority's certificate as it is handed out: in PEM, which phones and scripts take alike."""
        return self._read().public_bytes(serialization.Encoding.PEM)

    def context(self) -> ssl.SSLContext:
        """What a server needs to show the leaf: TLS 1.2 or newer."""
        made = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
        made.minimum_version = ssl.TLSVersion.TLSv1_2
        made.load_cert_chain(self.leaf)
        return made

    def _make(self, host: str, now: datetime) -> None:
        key = ec.generate_private_key(ec.SECP256R1())
        name = _name(f"Notchbook on {host.removesuffix('.' + LOCAL_DOMAIN)}, local authority")
        made = (
            _builder(name, name, key.public_key(), now, AUTHORITY_DAYS)
            .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
            .add_extension(_usage(signs_certificates=True), critical=True)
            .add_extension(_constraints(), critical=True)
            .sign(key, hashes.SHA256())
        )
        # The certificate first: a key without its certificate would be one that nobody could use.
        _write(self.certificate, made.public_bytes(serialization.Encoding.PEM))
        _write(self.key, _pem(key))

    def _read(self) -> x509.Certificate:
        try:
            return x509.load_pem_x509_certificate(self.certificate.read_bytes())
        except (OSError, ValueError) as problem:
            raise self._lost(self.certificate) from problem

    def _read_key(self) -> ec.EllipticCurvePrivateKey:
        try:
            key = serialization.load_pem_private_key(self.key.read_bytes(), None)
        except (OSError, ValueError) as problem:
            raise self._lost(self.key) from problem
        if not isinstance(key, ec.EllipticCurvePrivateKey):
            raise self._lost(self.key)
        return key

    def _lost(self, path: Path) -> AuthorityLost:
        return AuthorityLost(
            f"{path} can't be read. Put it back from a copy, or delete the folder {self.folder}; the next start makes "
            "a new authority then, which every phone has to trust anew."
        )

    def _has_leaf(self, names: LanNames, authority: x509.Certificate, now: datetime) -> bool:
        try:
            leaf = x509.load_pem_x509_certificate(self.leaf.read_bytes())
            leaf.verify_directly_issued_by(authority)
            said = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
        except Exception:
            # Whatever is wrong with it, a new one is made.
            return False
        is_fresh = leaf.not_valid_before_utc <= now < leaf.not_valid_after_utc - timedelta(days=RENEW_DAYS)
        return is_fresh and set(said) == set(_subjects(names))

    def _sign(self, names: LanNames, authority: x509.Certificate, now: datetime) -> None:
        key = ec.generate_private_key(ec.SECP256R1())
        made = (
            _builder(_name(names.host), authority.subject, key.public_key(), now, LEAF_DAYS)
            .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
            .add_extension(_usage(signs_certificates=False), critical=True)
            .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
            .add_extension(x509.SubjectAlternativeName(_subjects(names)), critical=False)
            .add_extension(_issuer_key(authority), critical=False)
            .sign(self._read_key(), hashes.SHA256())
        )
        _write(self.leaf, _pem(key) + made.public_bytes(serialization.Encoding.PEM))


def _subjects(names: LanNames) -> Sequence[x509.GeneralName]:
    hosts = [x509.DNSName(names.host), x509.DNSName("localhost")]
    return [*hosts, *(x509.IPAddress(one) for one in [*names.addresses, IPv4Address("127.0.0.1")])]


def _constraints() -> x509.NameConstraints:
    """Names under .local, localhost, and private addresses; nothing else, whatever it signs (RFC 5280, 4.2.1.10)."""
    domains = [x509.DNSName(LOCAL_DOMAIN), x509.DNSName("localhost")]
    return x509.NameConstraints([*domains, *(x509.IPAddress(network) for network in PRIVATE)], None)


def _builder(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePublicKey, now: datetime, days: int
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - BACKDATED)
        .not_valid_after(now - BACKDATED + timedelta(days=days))
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
    )


def _issuer_key(authority: x509.Certificate) -> x509.AuthorityKeyIdentifier:
    known = authority.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    return x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(known)


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _name(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text[:64])])


def _pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _write(path: Path, content: bytes) -> None:
    """Put a file in its place whole, readable by this account only from its first moment."""
    half = path.with_name(path.name + ".new")
    half.unlink(missing_ok=True)
    handle = os.open(half, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    os.replace(half, path)
