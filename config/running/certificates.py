"""The files with which the web server speaks HTTPS: those of a private authority, or a certificate of one's own."""

import os
from datetime import UTC, datetime, timedelta

from cryptography import x509

from config.running import CannotStart, authority

AUTHORITY_FILE, SERVER_FILE = "authority.pem", "server.pem"
RENEW_BEFORE = timedelta(days=30)


class PrivateCertificate:
    """The certificate that a private authority made for this machine, in a folder for its owner alone.

    Each of the two files holds a key and its certificate, so that one rename changes both: there is no half of a pair.
    The authority is made once and never again by itself, since every phone has to install it; the certificate is made
    anew for other names, when it ends soon, and when its file is of no use.
    """

    kind = "private"

    def __init__(self, folder, machine):
        self.folder = folder
        self.machine = machine
        self.file = self.key_file = folder / SERVER_FILE
        self.left_out = []
        self.is_authority_new = False

    def fit(self, names):
        """Make what is missing for the names and addresses (texts); True when the certificate is another one now.

        `left_out` are then those that the authority's limits do not let it vouch for.

        Raises
        ------
        CannotStart
            The authority's file is broken or has ended, or the folder cannot be written to.
        """
        now = datetime.now(UTC)
        try:
            self.folder.mkdir(mode=0o700, exist_ok=True)
            self.folder.chmod(0o700)
            return self._fit(authority.general_names(names), now)
        except OSError as error:
            raise CannotStart(f"{error.filename or self.folder}: {error.strerror}.") from error

    def _fit(self, wanted, now):
        path = self.folder / AUTHORITY_FILE
        if not path.exists():
            _write(path, authority.make_authority(wanted, self.machine, now))
            self.is_authority_new = True
        issuer = _authority_in(path, now)
        allowed = [name for name in wanted if authority.may_vouch_for(issuer[0], name)]
        self.left_out = [str(name.value) for name in wanted if name not in allowed]
        if self._is_good(issuer[0], allowed, now):
            return False
        _write(self.file, authority.make_server_certificate(issuer, allowed, now))
        return True

    def _is_good(self, issuer, names, now):
        try:
            self.file.chmod(0o600)
            pem = self.file.read_bytes()
            held, _ = authority.read_pair(pem)
            held.verify_directly_issued_by(issuer)
            is_whole = x509.load_pem_x509_certificates(pem) == [held, issuer]
        except Exception:  # whatever is wrong with it: it is made anew, and nothing is lost by that
            return False
        has_time = held.not_valid_after_utc >= min(now + RENEW_BEFORE, issuer.not_valid_after_utc)
        return is_whole and has_time and set(names) <= set(authority.names_in(held))


class BroughtCertificate:
    """A certificate that somebody else vouches for, from the files of whoever renews it."""

    kind = "own"
    left_out = []
    is_authority_new = False

    def __init__(self, file, key_file):
        self.file, self.key_file = file, key_file
        self._held = None

    def fit(self, names):
        """Read the files; True when they hold another certificate than before.

        Raises
        ------
        CannotStart
            A file that cannot be read or is not what it should be, a key of another certificate, one that has ended.
        """
        chain, key = _read(self.file, "--certificate"), _read(self.key_file, "--key")
        held = _certificate_in(chain, self.file)
        _check_key(key, held, self.key_file)
        if held.not_valid_after_utc <= datetime.now(UTC):
            raise CannotStart(
                f"--certificate is {self.file}, which ended on {held.not_valid_after_utc:%Y-%m-%d}; one that is valid "
                "is accepted."
            )
        is_another = (chain, key) != self._held
        self._held = chain, key
        return is_another

    def names(self):
        """The names that it is for, as Django's ALLOWED_HOSTS writes them; the fullest first."""
        said = authority.names_in(_certificate_in(self._held[0], self.file))
        texts = [str(name.value) for name in said]
        return [f"[{text}]" if ":" in text else text.removeprefix("*") for text in texts]


def authority_in(folder):
    """The certificate of the folder's private authority, or None where there is none that can be read."""
    try:
        return x509.load_pem_x509_certificate((folder / AUTHORITY_FILE).read_bytes())
    except (OSError, ValueError):
        return None


def _authority_in(path, now):
    path.chmod(0o600)
    try:
        issuer = authority.read_pair(path.read_bytes())
        issuer[0].extensions.get_extension_for_class(x509.NameConstraints)
    except (ValueError, TypeError, x509.ExtensionNotFound) as error:
        raise CannotStart(
            f"{path} is not readable as the authority that this machine made, which phones have installed: put it "
            "back from a copy, or move it away to have another made, which every phone has to install again."
        ) from error
    if issuer[0].not_valid_after_utc <= now:
        raise CannotStart(
            f"The authority in {path} ended on {issuer[0].not_valid_after_utc:%Y-%m-%d}: move the file away to have "
            "another made, which every phone has to install again."
        )
    return issuer


def _read(path, option):
    try:
        return path.read_bytes()
    except OSError as error:
        raise CannotStart(f"{option} is {path}, which cannot be read ({error.strerror}).") from error


def _certificate_in(chain, path):
    try:
        return x509.load_pem_x509_certificates(chain)[0]
    except ValueError as error:
        raise CannotStart(
            f"--certificate is {path}, which holds no certificate; a PEM file is accepted, the server's certificate "
            "first and those that vouch for it after."
        ) from error


def _check_key(key, certificate, path):
    try:
        held = authority.read_key(key)
    except (ValueError, TypeError) as error:
        raise CannotStart(
            f"--key is {path}, which holds no key that can be used; a PEM file without a password is accepted."
        ) from error
    if held.public_key() != certificate.public_key():
        raise CannotStart(f"--key is {path}, which is the key of another certificate.")


def _write(path, pem):
    """Whole or not at all, for its owner alone."""
    draft = path.with_suffix(".new")
    with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
        file.write(pem)
        file.flush()
        os.fsync(file.fileno())
    draft.replace(path)
