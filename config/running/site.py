"""Where the site listens, by which addresses it is reached, and with which certificate."""

import os
import socket
from pathlib import Path

from django.conf import settings

from config.running import CannotStart, address
from config.running.certificates import BroughtCertificate, PrivateCertificate
from config.running.crew import Part

LOCAL, EVERYWHERE = "127.0.0.1", "0.0.0.0"  # noqa: S104


class Site:
    """One place to listen at. `certificate` is None where it speaks plain HTTP."""

    def __init__(self, host, port, certificate=None):
        self.host = host or (EVERYWHERE if certificate else LOCAL)
        self.port = port
        self.certificate = certificate

    @property
    def scheme(self):
        return "https" if self.certificate else "http"

    @property
    def is_private(self):
        return self.certificate is not None and self.certificate.kind == "private"

    def fit_certificate(self):
        """Make or read the certificate; True when it is another one now."""
        return bool(self.certificate) and self.certificate.fit(self._names_to_vouch_for())

    def _names_to_vouch_for(self):
        names = [*settings.ALLOWED_HOSTS, *address.names_of(self.host), *address.names_of(EVERYWHERE)]
        return [name.removeprefix(".") for name in names]

    def names(self):
        """Those by which a browser may call it, the best first."""
        own = address.names_of(self.host)
        if self.certificate and not self.is_private:
            return list(dict.fromkeys([*self._brought_names(), *own]))
        return own

    def _brought_names(self):
        return [name for name in self.certificate.names() if not name.startswith(".")]

    def addresses(self):
        return [address.url_of(name, self.port, self.scheme) for name in self.names()]

    def phone_addresses(self):
        """Those that another machine may reach, the likeliest first; none where a certificate names none in full."""
        names = self._brought_names() if self.certificate and not self.is_private else self.names()
        outside = [name for name in names if not address.is_local(name.strip("[]")) and "." in name]
        first = address.reached_first()
        outside.sort(key=lambda name: (name != first, not name.endswith(".local")))
        return [address.url_of(name, self.port, self.scheme) for name in outside]

    def answers(self):
        return address.answers(self.host, self.port, self.scheme)

    def parts(self):
        """The parts of a run; the web server is told of its certificate by its files."""
        files = [self.certificate.file, self.certificate.key_file] if self.certificate else []
        return [Part("web", [self.host, self.port, *files]), Part("worker"), Part("beat")]

    def environment(self):
        """What the parts are told beyond what this process was told."""
        told = os.environ | {
            "SWARDBOOK_DATA": str(settings.DATA_DIR),
            "TMPDIR": str(settings.DATA_DIR / "tmp"),
        }
        if not address.is_local(self.host):
            hosts = [*settings.ALLOWED_HOSTS, *self.names()]
            if self.certificate and not self.is_private:
                hosts += self.certificate.names()
            told["SWARDBOOK_HOSTS"] = ",".join(dict.fromkeys(hosts))
        if self.certificate:
            told["SWARDBOOK_HTTPS"] = self.certificate.kind
        if not settings.ADDRESSES and not address.is_local(self.host):
            told["SWARDBOOK_ADDRESSES"] = ",".join(self.phone_addresses())
        return told


def certificate_of(https, certificate, key):
    """What the options of `start` ask for, or None for plain HTTP.

    Raises
    ------
    CannotStart
        Options that contradict each other or the setting for a server in front.
    """
    if not https and not certificate and not key:
        return None
    asked = "--https" if https else "--certificate"
    if settings.BEHIND_TLS:
        raise CannotStart(
            f"SWARDBOOK_TLS is on, so a server in front speaks HTTPS: leave out {asked}, or the setting."
        )
    if https and (certificate or key):
        raise CannotStart("--https makes a certificate and --certificate brings one: give one of the two.")
    if https:
        return PrivateCertificate(settings.AUTHORITY_DIR, socket.gethostname())
    if not certificate or not key:
        raise CannotStart("--certificate and --key go together: give both files.")
    return BroughtCertificate(Path(certificate).absolute(), Path(key).absolute())
