"""The certificate: no authority's, the address in it, its key the user's alone, made once."""

import datetime as dt
import ipaddress
import stat

import pytest
from cryptography import x509

from studiotimer.phones.certificate import LASTS, RENEW, certificate_for

NOW = dt.datetime(2026, 6, 14, 9, tzinfo=dt.UTC)


def read(path):
    data = path.read_bytes()
    return x509.load_pem_x509_certificate(data[data.index(b"-----BEGIN CERT") :])


def test_it_is_no_authoritys_has_the_address_and_a_key_of_the_users_alone(tmp_path):
    path, seal = certificate_for(tmp_path / "phones", "192.168.7.4", NOW)
    made = read(path)
    basic = made.extensions.get_extension_for_class(x509.BasicConstraints)
    assert (basic.critical, basic.value.ca) == (True, False)
    assert not made.extensions.get_extension_for_class(x509.KeyUsage).value.key_cert_sign
    names = made.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert names.get_values_for_type(x509.IPAddress) == [ipaddress.ip_address("192.168.7.4")]
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    assert len(seal.split(":")) == 32


def test_it_is_made_once_and_anew_before_it_ends_for_another_address_or_where_it_is_damaged(tmp_path):
    path, seal = certificate_for(tmp_path, "192.168.7.4", NOW)
    assert certificate_for(tmp_path, "192.168.7.4", NOW + LASTS - RENEW - dt.timedelta(days=1))[1] == seal
    renewed = certificate_for(tmp_path, "192.168.7.4", NOW + LASTS - RENEW)[1]
    assert renewed != seal
    assert certificate_for(tmp_path, "192.168.7.5", NOW)[1] not in (seal, renewed)
    path.write_bytes(b"-----BEGIN CERTIFICATE nonsense")
    assert certificate_for(tmp_path, "192.168.7.4", NOW)[1] not in (seal, renewed)


@pytest.mark.parametrize("damage", [b"", b"x", b"-----BEGIN CERTIFICATE-----\n-----END CERTIFICATE-----\n"])
def test_a_key_that_stands_open_is_closed(tmp_path, damage):
    path, _ = certificate_for(tmp_path, "10.0.0.2", NOW)
    path.write_bytes(damage)
    path.chmod(0o644)
    certificate_for(tmp_path, "10.0.0.2", NOW)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
