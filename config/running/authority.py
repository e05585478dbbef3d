"""A private certificate authority and what it vouches for, as bytes in and out; no files, no clock of its own.

What a browser asks of a certificate: names in the subject alternative name, the purpose server authentication, at
most 398 days for any that it is to trust (CA/Browser Forum, *Baseline Requirements*, 2020; Apple's limit for a
private authority is 825, from memory).
"""

import ipaddress
import re
from datetime import timedelta

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

AUTHORITY_DAYS, SERVER_DAYS = 3652, 397
EARLIER = timedelta(days=1)  # for a phone whose clock is behind
# Names that mean something on the own network alone: RFC 6761, 6762, 8375; .internal by ICANN (2024); .lan is common use.
OWN_NAMES = ("localhost", "local", "home.arpa", "internal", "lan")
# Addresses that are no one's in the open network: RFC 1122, 1918, 3927, 4193, 4291, 6598.
OWN_NETWORKS = (
    *("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "127.0.0.0/8", "169.254.0.0/16", "100.64.0.0/10"),
    *("::1/128", "fc00::/7", "fe80::/10"),
)
_LABEL = r"[A-Za-z0-9_](?:[A-Za-z0-9_-]{0,61}[A-Za-z0-9_])?"
_DNS_NAME = re.compile(rf"{_LABEL}(?:\.{_LABEL})*")


def general_name(text):
    """A name or an address as certificates say it, or None for what they cannot say."""
    try:
        return x509.IPAddress(ipaddress.ip_address(text.strip("[]")))
    except ValueError:
        is_name = _DNS_NAME.fullmatch(text) and len(text) <= 253
        return x509.DNSName(text.lower()) if is_name else None


def general_names(texts):
    """Each once, in their order; what a certificate cannot say is left out."""
    return list(dict.fromkeys(filter(None, map(general_name, texts))))


def make_authority(names, machine, now):
    """A new authority that may vouch for `names` and for those of the own network.

    Parameters
    ----------
    names : list of GeneralName
    machine : str
        What the authority is called after, so that its owner finds it in a phone's list.
    now : aware datetime

    Returns
    -------
    bytes
        Its key and its certificate, PEM.
    """
    key = ec.generate_private_key(ec.SECP256R1())
    subject = _subject(f"Swardbook on {machine}, {now:%Y-%m-%d}")
    begins = (now - EARLIER).replace(microsecond=0)
    certificate = (
        _begun(subject, key, subject, begins, begins + timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(key_cert_sign=True, crl_sign=True), critical=True)
        .add_extension(x509.NameConstraints(_limits(names), None), critical=True)
        .sign(key, hashes.SHA256())
    )
    return pem_of(certificate, key)


def make_server_certificate(authority, names, now):
    """A certificate for `names`, all of which the authority has to be allowed: its key, itself and the authority, PEM."""
    issuer, issuer_key = authority
    key = ec.generate_private_key(ec.SECP256R1())
    begins = (now - EARLIER).replace(microsecond=0)
    ends = min(begins + timedelta(days=SERVER_DAYS), issuer.not_valid_after_utc)
    identifier = issuer.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    certificate = (
        _begun(_subject("Swardbook"), key, issuer.subject, begins, ends)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(digital_signature=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(identifier), critical=False
        )
        .sign(issuer_key, hashes.SHA256())
    )
    return pem_of(certificate, key) + issuer.public_bytes(serialization.Encoding.PEM)


def _subject(text):
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text[:64])])


def _begun(subject, key, issuer, begins, ends):
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(ends)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _usage(**uses):
    names = ("digital_signature", "content_commitment", "key_encipherment", "data_encipherment")
    names += ("key_agreement", "key_cert_sign", "crl_sign", "encipher_only", "decipher_only")
    return x509.KeyUsage(**dict.fromkeys(names, False) | uses)


def _limits(names):
    own = [x509.DNSName(name) for name in OWN_NAMES]
    networks = [ipaddress.ip_network(each) for each in OWN_NETWORKS]
    own += [x509.IPAddress(network) for network in networks]
    for name in names:
        if not _falls_under(name, own):
            is_name = isinstance(name, x509.DNSName)
            own.append(name if is_name else x509.IPAddress(ipaddress.ip_network(name.value)))
    return own


def may_vouch_for(authority, name):
    """True if the limits in the authority's certificate let it vouch for the name."""
    limits = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    return _falls_under(name, limits.permitted_subtrees)


def _falls_under(name, limits):
    values = [each.value for each in limits if isinstance(each, type(name))]
    if isinstance(name, x509.IPAddress):
        return any(name.value in network for network in values)
    return any(name.value == value or name.value.endswith(f".{value}") for value in values)


def pem_of(certificate, key):
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    ) + certificate.public_bytes(serialization.Encoding.PEM)


def read_pair(pem):
    """(certificate, key) of a PEM text with both; ValueError where they are missing, broken or strangers."""
    certificate, key = x509.load_pem_x509_certificate(pem), read_key(pem)
    if key.public_key() != certificate.public_key():
        raise ValueError("The key belongs to another certificate.")
    return certificate, key


def read_key(pem):
    """The key of a PEM text; ValueError or TypeError where there is none that can be used."""
    try:
        return serialization.load_pem_private_key(pem, password=None)
    except UnsupportedAlgorithm as error:
        raise ValueError(str(error)) from error


def names_in(certificate):
    """The names and addresses that it is for; none where it does not say."""
    try:
        said = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except x509.ExtensionNotFound:
        return []
    return [name for name in said if isinstance(name, x509.DNSName | x509.IPAddress)]


def fingerprint_of(certificate):
    """SHA-256 over the certificate, as phones show it: pairs of digits with colons between."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def der_of(certificate):
    return certificate.public_bytes(serialization.Encoding.DER)
