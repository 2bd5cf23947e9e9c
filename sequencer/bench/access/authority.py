"""A certificate authority of this computer's own, so that phones in the local network may trust the page.

Browsers keep a page for when the connection is away only if it came over TLS with a certificate that they
trust, and no public authority vouches for an address in a local network. So the first ``bench --lan --tls``
makes an authority; a phone installs it once, and from then on trusts every job served from this computer.

The authority can vouch for private addresses alone (name constraints, RFC 5280 section 4.2.1.10): whoever got
hold of its key could not pretend to be any site on the internet. Each start of the page makes a certificate
for the address of that day, with a key that is kept nowhere.
"""

from __future__ import annotations

import ssl
import tempfile
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address, ip_network
from pathlib import Path
from typing import TYPE_CHECKING, cast

from sequencer.errors import SequencerError

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.x509 import Certificate, CertificateBuilder, KeyUsage, Name

AUTHORITY_DAYS = 5 * 365
RENEWED_BEFORE = timedelta(days=120)
"""An authority that ends sooner is replaced, so that none ends in the middle of a job."""
PAGE_DAYS = 90
"""Some phones take no more than 825 days (Apple, "Requirements for trusted certificates", from memory)."""
CLOCKS_DIFFER = timedelta(days=1)
"""A phone's clock may be behind: what is made now counts from yesterday."""

PRIVATE = (
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "169.254.0.0/16",
    "127.0.0.0/8",
    "fc00::/7",
    "fe80::/10",
    "::1/128",
)
"""RFC 1918, RFC 3927, RFC 1122, RFC 4193, RFC 4291: addresses that are nobody's on the internet."""


@dataclass(frozen=True)
class Authority:
    """Who vouches for the page.

    Attributes:
        certificate: What a phone installs, DER.
        fingerprint: SHA-256 of it in pairs of hexadecimal digits, to compare with what the phone shows.
        fresh: Whether it was made just now, so that no device can have it yet.
    """

    certificate: bytes
    fingerprint: str
    fresh: bool
    _name: Certificate
    _key: EllipticCurvePrivateKey

    @property
    def pem(self) -> bytes:
        """The certificate as text, as other programs take it."""
        from cryptography.hazmat.primitives.serialization import Encoding

        return self._name.public_bytes(Encoding.PEM)

    def context(self, address: str) -> ssl.SSLContext:
        """What a server at ``address`` speaks TLS with: 1.2 or newer, a fresh certificate for it.

        Raises:
            SequencerError: The address is a public one, for which this authority does not vouch.
        """
        if not any(ip_address(address) in ip_network(one) for one in PRIVATE):
            raise SequencerError(
                f"{address} is an address on the internet, not in a local network",
                "leave out --tls, or join a local network",
            )
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.minimum_version = ssl.TLSVersion.TLSv1_2
        with tempfile.TemporaryDirectory() as folder:  # its owner's alone; ssl reads from files only
            both = Path(folder) / "page.pem"
            both.write_bytes(self._page(address))
            context.load_cert_chain(both)
        return context

    def _page(self, address: str) -> bytes:
        """Key and certificate of a page at ``address``, PEM."""
        from cryptography import x509
        from cryptography.hazmat.primitives.asymmetric import ec
        from cryptography.x509.oid import ExtendedKeyUsageOID

        key = ec.generate_private_key(ec.SECP256R1())
        names = [x509.DNSName("localhost")]
        addresses = [x509.IPAddress(ip_address(one)) for one in dict.fromkeys((address, "127.0.0.1"))]
        usage = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH])
        made = (
            _builder("sequencer bench", self._name.subject, key, PAGE_DAYS)
            .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
            .add_extension(x509.SubjectAlternativeName([*names, *addresses]), critical=False)
            .add_extension(_usage(signs_certificates=False), critical=True)
            .add_extension(usage, critical=False)
            .add_extension(
                x509.AuthorityKeyIdentifier.from_issuer_public_key(self._key.public_key()), critical=False
            )
        )
        return _as_pem(key) + _signed(made, self._key)


def authority(folder: Path, host: str) -> Authority:
    """The authority kept in ``folder``, or a new one where there is none or it ends soon.

    Args:
        folder: Where it is kept; made, for its owner alone, where it is missing.
        host: What the computer is called, so that a list of installed authorities can be told apart.

    Raises:
        SequencerError: What is kept there can't be read as one, or it can't be written.
    """
    kept = _kept(folder / FILE)
    if kept is not None and _ends(kept) - datetime.now(UTC) > RENEWED_BEFORE:
        return kept
    return _new(folder / FILE, host)


FILE = "bench-authority.pem"


def _ends(one: Authority) -> datetime:
    return one._name.not_valid_after_utc  # noqa: SLF001 - one module


def _kept(file: Path) -> Authority | None:
    from cryptography import x509
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    try:
        text = file.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as fault:
        raise SequencerError(
            f"{file} can't be read: {fault.strerror}", "give it back to its owner"
        ) from fault
    try:
        key = cast("EllipticCurvePrivateKey", load_pem_private_key(text, None))
        return _authority(x509.load_pem_x509_certificate(text), key, fresh=False)
    except (ValueError, TypeError) as fault:
        raise SequencerError(
            f"{file} is not an authority that this program made",
            "move it away; a new one is made, and each phone has to install that once",
        ) from fault


def _new(file: Path, host: str) -> Authority:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric import ec

    from sequencer.machine.edit.atomic import replace_file

    key = ec.generate_private_key(ec.SECP256R1())
    constraints = x509.NameConstraints(
        [x509.DNSName("localhost"), *(x509.IPAddress(ip_network(one)) for one in PRIVATE)], None
    )
    name = f"sequencer bench, {host[:30]}, {datetime.now(UTC):%Y-%m-%d}"
    built = (
        _builder(name, None, key, AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(constraints, critical=True)
    )
    pem = _signed(built, key)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.touch(mode=0o600)  # rights are kept from here on
    except OSError as fault:
        raise SequencerError(
            f"{file} can't be written: {fault.strerror}", "make its folder yours, or set XDG_CONFIG_HOME"
        ) from fault
    file.chmod(0o600)  # one that was there before may have had others
    replace_file(file, _as_pem(key) + pem)
    return _authority(x509.load_pem_x509_certificate(pem), key, fresh=True)


def _authority(certificate: Certificate, key: EllipticCurvePrivateKey, *, fresh: bool) -> Authority:
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.serialization import Encoding

    digits = certificate.fingerprint(hashes.SHA256()).hex(":").upper()
    return Authority(certificate.public_bytes(Encoding.DER), digits, fresh, certificate, key)


def _builder(name: str, issuer: Name | None, key: EllipticCurvePrivateKey, days: int) -> CertificateBuilder:
    from cryptography import x509
    from cryptography.x509.oid import NameOID

    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])
    begins = datetime.now(UTC) - CLOCKS_DIFFER
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer or subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(begins + timedelta(days=days))
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _usage(*, signs_certificates: bool) -> KeyUsage:
    from cryptography import x509

    return x509.KeyUsage(
        digital_signature=True,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _signed(built: CertificateBuilder, key: EllipticCurvePrivateKey) -> bytes:
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.serialization import Encoding

    return built.sign(key, hashes.SHA256()).public_bytes(Encoding.PEM)


def _as_pem(key: EllipticCurvePrivateKey) -> bytes:
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    return key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
