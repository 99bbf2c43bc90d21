"""The server's certificate: made once for an address, no authority's, its key the user's alone."""

from __future__ import annotations

import datetime as dt
import ipaddress
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from studiotimer.files import PRIVATE_FILE, PRIVATE_FOLDER, make_folder, small_bytes, write_whole

LASTS = dt.timedelta(days=397)
RENEW = dt.timedelta(days=30)
LARGEST = 20_000  # bytes: far above a key and a certificate (own rule)


def certificate_for(folder: Path, address: str, now: dt.datetime) -> tuple[Path, str]:
    """Return the PEM file of key and certificate for an address, made where there is none that holds, and its print.

    The print is the certificate's SHA-256 in pairs of hexadecimal figures. `now` is aware. Raises OSError.
    """
    path = folder / f"phones-{address.replace(':', '-')}.pem"
    known = _known(path, address, now)
    if known is None:
        make_folder(folder, PRIVATE_FOLDER)
        data, known = _made(address, now)
        write_whole(path, data, private=True)
    path.chmod(PRIVATE_FILE)
    return path, known.fingerprint(hashes.SHA256()).hex(":").upper()


def _known(path: Path, address: str, now: dt.datetime) -> x509.Certificate | None:
    """Return the certificate in a file that holds for this address yet a while; None where there is none."""
    try:
        data = small_bytes(path, LARGEST)
        found = x509.load_pem_x509_certificate(data[data.index(b"-----BEGIN CERTIFICATE") :])
        serialization.load_pem_private_key(data, None)
        names = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (OSError, ValueError, TypeError, x509.ExtensionNotFound):
        return None
    addresses = names.get_values_for_type(x509.IPAddress)
    holds = found.not_valid_before_utc <= now < found.not_valid_after_utc - RENEW
    return found if holds and ipaddress.ip_address(address) in addresses else None


def _made(address: str, now: dt.datetime) -> tuple[bytes, x509.Certificate]:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Studiotimer on {address}")])
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - dt.timedelta(days=1))
        .not_valid_after(now + LASTS)
        .add_extension(x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address(address))]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(
            x509.KeyUsage(
                digital_signature=True, content_commitment=False, key_encipherment=False, data_encipherment=False,
                key_agreement=False, key_cert_sign=False, crl_sign=False, encipher_only=False, decipher_only=False,
            ),
            critical=True,
        )
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )  # fmt: skip
    secret = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    return secret + made.public_bytes(serialization.Encoding.PEM), made
