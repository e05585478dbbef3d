"""`manage.py start --https` as phones meet it: real processes, real handshakes, a real browser."""

import base64
import http.client
import re
import shutil
import signal
import socket
import ssl
import stat
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import UTC, datetime
from urllib.error import URLError
from urllib.request import HTTPSHandler, Request, build_opener

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from playwright.sync_api import sync_playwright

from config.running import authority
from tests.running.installation import PATIENCE_SECONDS, Run, free_port, wait_for

pytestmark = pytest.mark.slow

# The site looks at its certificate every minute; here four times a second.
EAGER = """
import os
import django
os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
django.setup()
import manage
from config.management.commands import start
start.LOOK_AGAIN_SECONDS = 0.25
manage.main()
"""


@pytest.fixture(scope="module")
def secured(install):
    """An installation that runs with HTTPS for the whole network."""
    installation = install()
    run = installation.start("--https")
    run.says(rf"running at https://\S+:{run.port}/ ")
    run.folder = installation.folder
    run.installation = installation
    return run


def trusting(folder):
    """What a phone knows once the authority is installed on it."""
    certificate = authority.read_pair((folder / "tls" / "authority.pem").read_bytes())[0]
    return ssl.create_default_context(cadata=authority.der_of(certificate))


def get(run, path, context, host="localhost"):
    opener = build_opener(HTTPSHandler(context=context))
    return opener.open(Request(f"https://{host}:{run.port}{path}"), timeout=PATIENCE_SECONDS)


def connected(run, context, name="localhost"):
    """A connection over which the handshake is done."""
    plain = socket.create_connection(("127.0.0.1", run.port), timeout=PATIENCE_SECONDS)
    try:
        return context.wrap_socket(plain, server_hostname=name)
    except OSError:
        plain.close()
        raise


def shown_certificate(run, context, name="localhost"):
    with connected(run, context, name) as wrapped:
        return wrapped.getpeercert(binary_form=True)


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1"])
def test_it_answers_whoever_trusts_its_authority(secured, host):
    with get(secured, "/sign-in/", trusting(secured.folder), host) as page:
        assert page.status == 200
        assert "Secure" in page.headers["Set-Cookie"]
        assert "Strict-Transport-Security" not in page.headers


def test_it_answers_by_every_address_that_it_printed(secured):
    hosts = re.findall(rf"https://(\d[\d.]+):{secured.port}/$", secured.output, re.MULTILINE)
    assert "127.0.0.1" in hosts
    for host in hosts:
        with get(secured, "/sign-in/", trusting(secured.folder), host) as page:
            assert page.status == 200


def test_the_machines_name_and_its_name_in_the_network_hold(secured):
    name = socket.gethostname()
    for each in (name, f"{name.partition('.')[0]}.local"):
        assert shown_certificate(secured, trusting(secured.folder), each)


def test_nobody_else_takes_it(secured):
    with pytest.raises(URLError, match="certificate verify failed"):
        get(secured, "/sign-in/", ssl.create_default_context())


def test_another_name_is_not_vouched_for(secured):
    with pytest.raises(ssl.SSLCertVerificationError, match="other.example"):
        shown_certificate(secured, trusting(secured.folder), "other.example")


def test_plain_http_is_not_answered_on_the_port_and_that_is_said(secured):
    assert secured.says("^Only addresses that begin with https:// are answered")
    with pytest.raises((http.client.HTTPException, OSError)):
        plainly_asked(secured)


def plainly_asked(run):
    with closing(http.client.HTTPConnection("127.0.0.1", run.port, timeout=PATIENCE_SECONDS)) as connection:
        connection.request("GET", "/sign-in/")
        return connection.getresponse()


def test_nobody_is_told_that_it_is_not_encrypted(secured):
    secured.says("Connect a phone: https://")
    assert not secured.has_said("not encrypted")


def test_the_keys_are_for_their_owner_alone(secured):
    tls = secured.folder / "tls"
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in [tls, *tls.iterdir()]}
    assert modes == {"tls": 0o700, "authority.pem": 0o600, "server.pem": 0o600}


def test_the_authority_is_handed_out_to_anybody_and_its_key_to_nobody(secured):
    with get(secured, "/connect/authority.crt", trusting(secured.folder)) as answer:
        assert answer.headers["Content-Type"] == "application/x-x509-ca-cert"
        certificate = x509.load_der_x509_certificate(answer.read())
    printed = secured.says(r"fingerprint \(SHA-256\): ([0-9A-F:]{95})$")[1]
    assert certificate.fingerprint(hashes.SHA256()).hex(":").upper() == printed
    assert certificate.extensions.get_extension_for_class(x509.BasicConstraints).value.ca


def test_a_phone_finds_the_page_that_connects_it(secured):
    with get(secured, "/connect/", trusting(secured.folder)) as page:
        assert page.url.endswith("/sign-in/?next=/connect/")


def test_a_browser_takes_it_as_secure_and_keeps_the_pages(secured, tmp_path):
    """Its authority is not in the browser's list here: the browser is told the key alone to trust."""
    executable = shutil.which("chromium")
    if executable is None:
        pytest.skip("There is no `chromium` on the path; Debian's package of that name is accepted.")
    leaf = x509.load_der_x509_certificate(shown_certificate(secured, trusting(secured.folder)))
    key = leaf.public_key().public_bytes(
        serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo
    )
    digest = hashes.Hash(hashes.SHA256())
    digest.update(key)
    trusted = base64.b64encode(digest.finalize()).decode()
    # in a thread of its own: a browser of other tests may run in this one
    with ThreadPoolExecutor(max_workers=1) as other:
        worker = other.submit(_kept_by, executable, tmp_path / "profile", trusted, secured.port).result()
    assert worker == f"https://localhost:{secured.port}/sw.js"


def _kept_by(executable, profile, trusted, port):
    """Address of the service worker that the browser keeps, having found the page secure."""
    with sync_playwright() as playwright:
        context = playwright.chromium.launch_persistent_context(
            profile,
            executable_path=executable,
            args=["--no-sandbox", "--disable-gpu", f"--ignore-certificate-errors-spki-list={trusted}"],
        )
        page = context.pages[0]
        page.goto(f"https://localhost:{port}/sign-in/")
        assert page.evaluate("isSecureContext && location.protocol === 'https:'")
        address = page.evaluate(
            "navigator.serviceWorker.register('/sw.js').then(() => navigator.serviceWorker.ready)"
            ".then((kept) => kept.active.scriptURL)"
        )
        context.close()
        return address


def both_files(installation):
    return [(installation.folder / "tls" / name).read_bytes() for name in ("authority.pem", "server.pem")]


@pytest.fixture(scope="module")
def eager(install):
    """A site that looks at its certificate all the time; it was stopped once before and started again."""
    installation = install()
    first = installation.start("--https", "--host", "127.0.0.1")
    first.says("^A certificate authority was made")
    first.says("^Connect a phone")
    installation.before = both_files(installation)
    first.interrupt()
    process = installation.begin("-c", EAGER, "start", "--https", "--host", "127.0.0.1", "--port", first.port)
    again = Run(process, first.port)
    again.says("running at https://")
    again.installation, again.folder = installation, installation.folder
    return again


def test_a_second_start_keeps_authority_and_certificate(eager):
    assert both_files(eager.installation) == eager.installation.before
    eager.says("^Connect a phone")
    assert not eager.has_said("^A certificate authority was made")


def test_a_running_site_takes_up_a_renewed_certificate(eager):
    context = trusting(eager.folder)
    before = shown_certificate(eager, context)
    (eager.folder / "tls" / "server.pem").write_bytes(b"half of a certif")
    eager.says("^The certificate is another one now")

    def another():
        try:
            return shown_certificate(eager, context) != before
        except OSError:  # the web server is between the two
            return False

    wait_for(another, "Another certificate")
    assert both_files(eager.installation)[0] == eager.installation.before[0]
    assert eager.part("web") is not None


def test_it_stops_as_ever(eager):
    eager.process.send_signal(signal.SIGINT)
    assert eager.process.wait(PATIENCE_SECONDS) == 0


@pytest.fixture
def files(tmp_path):
    """A certificate for a name of its own, as its owner has it from elsewhere: (chain, key)."""
    name = authority.general_names(["plots.example"])
    now = datetime.now(UTC)
    pair = authority.read_pair(authority.make_authority(name, "elsewhere", now))
    pem = authority.make_server_certificate(pair, name, now)
    cut = pem.index(b"-----BEGIN CERTIFICATE")
    (tmp_path / "chain.pem").write_bytes(pem[cut:])
    (tmp_path / "key.pem").write_bytes(pem[:cut])
    (tmp_path / "root.pem").write_bytes(pair[0].public_bytes(serialization.Encoding.PEM))
    return tmp_path


def test_a_certificate_of_ones_own_is_served_under_its_name(install, files):
    installation = install()
    run = installation.start("--certificate", files / "chain.pem", "--key", files / "key.pem")
    run.says(rf"running at https://plots\.example:{run.port}/ ")
    context = ssl.create_default_context(cafile=files / "root.pem")
    with connected(run, context, "plots.example") as wrapped:
        wrapped.sendall(b"GET /sign-in/ HTTP/1.1\r\nHost: plots.example\r\nConnection: close\r\n\r\n")
        assert wrapped.recv(200).startswith(b"HTTP/1.1 200 ")
    assert not (installation.folder / "tls").exists()
    assert not run.has_said("authority")
    run.interrupt()


def test_options_that_do_not_go_together_end_in_one_sentence(install):
    done = install().manage("start", "--https", environment={"SWARDBOOK_TLS": "1"})
    assert done.returncode == 1
    assert (
        done.stderr
        == "SWARDBOOK_TLS is on, so a server in front speaks HTTPS: leave out --https, or the setting.\n"
    )


def test_an_authority_that_was_spoiled_ends_in_one_sentence(install):
    installation = install()
    tls = installation.folder / "tls"
    tls.mkdir(parents=True)
    (installation.folder / "start.lock").touch()
    (tls / "authority.pem").write_text("-----BEGIN PRIV")
    done = installation.manage("start", "--https", "--port", free_port())
    assert done.returncode == 1
    assert done.stderr.startswith(f"{tls / 'authority.pem'} is not readable as the authority")
    assert done.stderr.count("\n") == 1
    assert (tls / "authority.pem").read_text() == "-----BEGIN PRIV"
