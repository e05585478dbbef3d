"""By which addresses a phone reaches this site, and what it has to trust first."""

import ipaddress
from dataclasses import dataclass
from functools import cached_property
from urllib.parse import urlsplit

import segno
from django.conf import settings
from django.urls import reverse
from django.utils.safestring import mark_safe

from config.running.authority import der_of, fingerprint_of
from config.running.certificates import authority_in

PAIRS_A_LINE = 8


@dataclass(frozen=True)
class Reach:
    """One address of the site, ending in a slash."""

    url: str

    @cached_property
    def host(self):
        return urlsplit(self.url).hostname or ""

    @cached_property
    def is_number(self):
        return _number(self.host) is not None

    @cached_property
    def is_here_alone(self):
        """True when it leads nowhere but to the device itself."""
        number = _number(self.host)
        return self.host == "localhost" or (number is not None and number.is_loopback)

    @cached_property
    def is_secure(self):
        return urlsplit(self.url).scheme == "https"

    def to(self, path):
        return self.url.rstrip("/") + path


def _number(host):
    try:
        return ipaddress.ip_address(host)
    except ValueError:
        return None


def reaches(origin):
    """The addresses for phones, the best first; the one of the request where none are known."""
    return [Reach(url if url.endswith("/") else f"{url}/") for url in settings.ADDRESSES or [origin]]


def way_of(reach):
    """How far a phone comes by the address: "here", "plain", "private" or "trusted"."""
    if reach.is_here_alone:
        return "here"
    if not reach.is_secure:
        return "plain"
    return "private" if settings.HTTPS == "PRIVATE" else "trusted"


def code_of(text):
    """The QR code of a text as SVG, dark on white whatever the page's colours are."""
    code = segno.make(text, error="m", micro=False)
    # Made of squares alone: nothing of the text is in it.
    return mark_safe(code.svg_inline(border=4, light="#fff", dark="#000", omitsize=True))  # noqa: S308


def authority_known():
    """What a page says of the private authority: its name, its fingerprint in lines of eight, its last day.

    None where no authority of this machine's is in use.
    """
    certificate = authority_in(settings.AUTHORITY_DIR) if settings.HTTPS == "PRIVATE" else None
    if certificate is None:
        return None
    name = certificate.subject.rfc4514_string().removeprefix("CN=").replace("\\", "")
    pairs = fingerprint_of(certificate).split(":")
    lines = [":".join(pairs[start : start + PAIRS_A_LINE]) for start in range(0, len(pairs), PAIRS_A_LINE)]
    ends_on = certificate.not_valid_after_utc.date()
    return {
        "name": name,
        "fingerprint": lines,
        "ends_on": ends_on,
        "der": der_of(certificate),
    }


def codes(reach):
    """What a phone scans: the certificate first where it has to be trusted, then the page that looks at the phone."""
    page = reach.to(reverse("connect")) + "?on=phone"
    certificate = reach.to(reverse("connect-authority"))
    return {"page": code_of(page), "certificate": code_of(certificate), "certificate_url": certificate}
