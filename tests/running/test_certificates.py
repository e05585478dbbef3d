"""The files of HTTPS: an authority that is made once, and certificates that every verifier takes."""

import stat
from datetime import UTC, datetime, timedelta

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from config.management.commands import start
from config.running import CannotStart, address, authority
from config.running.certificates import BroughtCertificate, PrivateCertificate, authority_in
from config.running.site import Site, certificate_of

NAMES = ["localhost", "127.0.0.1", "::1", "barn", "barn.local", "192.168.7.20", "203.0.113.9"]
NOW = datetime.now(UTC)


@pytest.fixture
def private(tmp_path):
    """The certificate of an installation, made."""
    certificate = PrivateCertificate(tmp_path / "tls", "barn")
    certificate.fit(NAMES)
    return certificate


def served(certificate):
    return x509.load_pem_x509_certificate(certificate.file.read_bytes())


def verified(issuer, leaf, name):
    subject = authority.general_name(name)
    verifier = PolicyBuilder().store(Store([issuer])).time(datetime.now(UTC)).build_server_verifier(subject)
    return verifier.verify(leaf, [])


@pytest.mark.parametrize("name", NAMES)
def test_the_certificate_holds_for_every_name_and_address(private, name):
    chain = verified(authority_in(private.folder), served(private), name)
    assert len(chain) == 2


def test_it_holds_for_no_other_name(private):
    with pytest.raises(VerificationError):
        verified(authority_in(private.folder), served(private), "other.example")


@pytest.mark.parametrize("name", ["bank.example", "198.51.100.7", "localhost.example"])
def test_what_the_authority_signs_beyond_its_limits_is_refused(private, name):
    pair = authority.read_pair((private.folder / "authority.pem").read_bytes())
    pem = authority.make_server_certificate(pair, [authority.general_name(name)], NOW)
    with pytest.raises(VerificationError, match="(?i)constraint"):
        verified(pair[0], x509.load_pem_x509_certificate(pem), name)


def test_a_browser_takes_how_long_it_lasts(private):
    leaf = served(private)
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc <= timedelta(days=397)
    assert leaf.not_valid_before_utc < NOW


def test_the_files_are_for_their_owner_alone(private):
    assert stat.S_IMODE(private.folder.stat().st_mode) == 0o700
    files = sorted(private.folder.iterdir())
    assert [each.name for each in files] == ["authority.pem", "server.pem"]
    assert [stat.S_IMODE(each.stat().st_mode) for each in files] == [0o600, 0o600]


def test_files_that_others_could_read_are_closed_to_them(private):
    for each in [private.folder, *private.folder.iterdir()]:
        each.chmod(0o755)
    private.fit(NAMES)
    assert [stat.S_IMODE(each.stat().st_mode) for each in private.folder.iterdir()] == [0o600, 0o600]


def contents(private):
    return [(private.folder / name).read_bytes() for name in ("authority.pem", "server.pem")]


@pytest.mark.parametrize("names", [NAMES, NAMES[:4]])
def test_nothing_is_made_again_without_a_reason(private, names):
    before = contents(private)
    assert PrivateCertificate(private.folder, "barn").fit(names) is False
    assert contents(private) == before


def test_a_new_address_makes_another_certificate_of_the_same_authority(private):
    kept, old = contents(private)
    assert private.fit([*NAMES, "192.168.7.21"]) is True
    assert contents(private)[0] == kept
    assert contents(private)[1] != old
    verified(authority_in(private.folder), served(private), "192.168.7.21")


@pytest.mark.parametrize(("days_left", "is_renewed"), [(40, False), (29, True), (-5, True)])
def test_a_certificate_that_ends_soon_is_renewed(private, days_left, is_renewed):
    pair = authority.read_pair(contents(private)[0])
    made = NOW - timedelta(days=authority.SERVER_DAYS - 1 - days_left)
    private.file.write_bytes(authority.make_server_certificate(pair, authority.general_names(NAMES), made))
    assert private.fit(NAMES) is is_renewed


def test_at_the_authoritys_end_the_certificate_ends_with_it_and_is_not_made_again_and_again(private):
    made = NOW - timedelta(days=authority.AUTHORITY_DAYS - 10)
    pem = authority.make_authority(authority.general_names(NAMES), "barn", made)
    (private.folder / "authority.pem").write_bytes(pem)
    assert private.fit(NAMES) is True
    assert served(private).not_valid_after_utc <= authority_in(private.folder).not_valid_after_utc
    assert private.fit(NAMES) is False


@pytest.mark.parametrize("share", [0, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99])
def test_a_certificate_cut_short_is_made_again(private, share):
    whole = private.file.read_bytes()
    private.file.write_bytes(whole[: int(len(whole) * share)])
    assert private.fit(NAMES) is True
    verified(authority_in(private.folder), served(private), "barn.local")


def test_a_draft_that_a_killed_start_left_is_no_obstacle(private):
    private.file.unlink()
    private.file.with_suffix(".new").write_bytes(b"half")
    assert private.fit(NAMES) is True
    assert sorted(each.name for each in private.folder.iterdir()) == ["authority.pem", "server.pem"]


def test_a_certificate_of_another_authority_is_made_again(private, tmp_path):
    other = PrivateCertificate(tmp_path / "other", "shed")
    other.fit(NAMES)
    private.file.write_bytes(other.file.read_bytes())
    assert private.fit(NAMES) is True


def certificate_alone(pem):
    return authority.read_pair(pem)[0].public_bytes(serialization.Encoding.PEM)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda pem: b"",
        lambda pem: pem[:200],
        lambda pem: pem[:-100],
        certificate_alone,
        lambda pem: pem[::-1],
    ],
    ids=["empty", "half a key", "half a certificate", "no key", "nonsense"],
)
def test_an_authority_that_cannot_be_read_is_named_and_left_as_it_is(private, spoil):
    path = private.folder / "authority.pem"
    path.write_bytes(spoil(path.read_bytes()))
    spoiled = path.read_bytes()
    with pytest.raises(CannotStart, match=r"authority\.pem is not readable .* move it away"):
        private.fit(NAMES)
    assert path.read_bytes() == spoiled


def test_an_authority_that_has_ended_is_named_and_left_as_it_is(private):
    path = private.folder / "authority.pem"
    made = NOW - timedelta(days=authority.AUTHORITY_DAYS + 1)
    path.write_bytes(authority.make_authority([], "barn", made))
    ended = path.read_bytes()
    with pytest.raises(CannotStart, match="ended on"):
        private.fit(NAMES)
    assert path.read_bytes() == ended


def test_a_name_beyond_the_authoritys_limits_is_left_out_and_said(private):
    assert private.fit([*NAMES, "plots.example"]) is False
    assert private.left_out == ["plots.example"]


def test_a_folder_that_cannot_be_made_is_named(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(CannotStart, match="Not a directory"):
        PrivateCertificate(tmp_path / "file" / "tls", "barn").fit(NAMES)


@pytest.mark.parametrize("text", ["*", "", ".plots.example", "two words", "a" * 64, "bärn", "1.2.3.4.5/8"])
def test_what_a_certificate_cannot_say_is_no_name(text):
    assert authority.general_name(text) is None


def test_each_name_is_said_once():
    said = authority.general_names(["Barn", "barn", "[::1]", "::1", "*"])
    assert [str(each.value) for each in said] == ["barn", "::1"]


@pytest.fixture
def brought(tmp_path, private):
    """Files as whoever renews a certificate lays them down: the chain, and the key apart."""
    pem = private.file.read_bytes()
    _, key = authority.read_pair(pem)
    chain, key_file = tmp_path / "chain.pem", tmp_path / "key.pem"
    chain.write_bytes(pem[pem.index(b"-----BEGIN CERTIFICATE") :])
    key_file.write_bytes(_key_pem(key))
    return BroughtCertificate(chain, key_file)


def _key_pem(key, password=None):
    how = serialization.BestAvailableEncryption(password) if password else serialization.NoEncryption()
    return key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, how)


def test_a_brought_certificate_is_another_one_once_its_files_are(brought, private):
    assert brought.fit([]) is True
    assert brought.fit([]) is False
    private.fit([*NAMES, "10.0.0.7"])
    pem = private.file.read_bytes()
    brought.file.write_bytes(pem[pem.index(b"-----BEGIN CERTIFICATE") :])
    brought.key_file.write_bytes(_key_pem(authority.read_key(pem)))
    assert brought.fit([]) is True
    assert "10.0.0.7" in brought.names()


def test_its_names_are_answered_to(tmp_path, brought):
    pair = authority.read_pair((tmp_path / "tls" / "authority.pem").read_bytes())
    names = [x509.DNSName("plots.example"), x509.DNSName("*.farm.example"), *authority.general_names(["::1"])]
    pem = authority.make_server_certificate(pair, names, NOW)
    brought.file.write_bytes(pem)
    brought.key_file.write_bytes(pem)
    brought.fit([])
    assert brought.names() == ["plots.example", ".farm.example", "[::1]"]


def a_key():
    return authority.read_key(authority.make_authority([], "barn", NOW))


@pytest.mark.parametrize(
    ("file", "content", "sentence"),
    [
        ("file", None, r"--certificate is .*chain\.pem, which cannot be read \(No such file"),
        ("file", lambda: b"no certificate", r"--certificate is .*, which holds no certificate; a PEM file"),
        ("key_file", None, r"--key is .*key\.pem, which cannot be read \(No such file"),
        ("key_file", lambda: b"no key", "--key is .*, which holds no key that can be used; a PEM file"),
        (
            "key_file",
            lambda: _key_pem(a_key(), b"secret"),
            "--key is .*, which holds no key that can be used",
        ),
        ("key_file", lambda: _key_pem(a_key()), "--key is .*, which is the key of another certificate"),
    ],
)
def test_a_brought_file_that_cannot_be_used_is_named(brought, file, content, sentence):
    path = getattr(brought, file)
    path.unlink()
    if content:
        path.write_bytes(content())
    with pytest.raises(CannotStart, match=sentence):
        brought.fit([])


def test_a_brought_certificate_that_has_ended_is_named(brought, private):
    pair = authority.read_pair((private.folder / "authority.pem").read_bytes())
    pem = authority.make_server_certificate(pair, authority.general_names(NAMES), NOW - timedelta(days=400))
    brought.file.write_bytes(pem)
    brought.key_file.write_bytes(pem)
    with pytest.raises(CannotStart, match="which ended on"):
        brought.fit([])


@pytest.mark.parametrize(
    ("https", "certificate", "key", "behind", "sentence"),
    [
        (True, None, None, True, "SWARDBOOK_TLS is on, so a server in front speaks HTTPS: leave out --https"),
        (False, "a", "b", True, "SWARDBOOK_TLS is on, .* leave out --certificate"),
        (True, "a", "b", False, "--https makes a certificate and --certificate brings one"),
        (False, "a", None, False, "--certificate and --key go together"),
        (False, None, "b", False, "--certificate and --key go together"),
    ],
)
def test_options_that_contradict_each_other_are_named(settings, https, certificate, key, behind, sentence):
    settings.BEHIND_TLS = behind
    with pytest.raises(CannotStart, match=sentence):
        certificate_of(https, certificate, key)


def test_without_options_it_is_plain_http_for_this_machine_alone():
    site = Site(None, 8000, certificate_of(False, None, None))
    assert (site.host, site.scheme, site.addresses()) == ("127.0.0.1", "http", ["http://127.0.0.1:8000/"])
    told = site.environment()
    assert "SWARDBOOK_HTTPS" not in told
    assert "SWARDBOOK_ADDRESSES" not in told


@pytest.fixture
def network(monkeypatch):
    """A machine called barn on a network, with a second one of its own inside."""
    numbers = ["127.0.0.1", "172.17.0.1", "192.168.7.20"]
    monkeypatch.setattr(address, "reached_first", lambda: "192.168.7.20")
    monkeypatch.setattr(
        address,
        "names_of",
        lambda host: ["barn", "barn.local", *numbers] if host == "0.0.0.0" else [host],
    )


@pytest.mark.usefixtures("network")
def test_a_phone_is_shown_the_address_of_its_network_first(private):
    site = Site(None, 8443, private)
    assert site.phone_addresses() == [
        "https://192.168.7.20:8443/",
        "https://barn.local:8443/",
        "https://172.17.0.1:8443/",
    ]
    told = site.environment()
    assert told["SWARDBOOK_HTTPS"] == "private"
    assert told["SWARDBOOK_ADDRESSES"] == ",".join(site.phone_addresses())
    assert set(told["SWARDBOOK_HOSTS"].split(",")) >= {"barn", "barn.local", "192.168.7.20"}


@pytest.mark.usefixtures("network")
@pytest.mark.parametrize(
    ("names", "addresses"),
    [(["plots.example", "*.farm.example"], ["https://plots.example:8443/"]), (["*.farm.example"], [])],
)
def test_with_a_certificate_of_ones_own_a_phone_is_shown_the_names_in_it_alone(
    brought, private, names, addresses
):
    pair = authority.read_pair(contents(private)[0])
    pem = authority.make_server_certificate(pair, [x509.DNSName(name) for name in names], NOW)
    brought.file.write_bytes(pem)
    brought.key_file.write_bytes(pem)
    site = Site(None, 8443, brought)
    site.fit_certificate()
    assert site.phone_addresses() == addresses
    told = site.environment()
    assert told["SWARDBOOK_HTTPS"] == "own"
    assert ".farm.example" in told["SWARDBOOK_HOSTS"].split(",")


@pytest.mark.usefixtures("network")
def test_addresses_that_somebody_set_are_left_as_they_are(private, settings, monkeypatch):
    settings.ADDRESSES = ["https://plots.example/"]
    monkeypatch.setenv("SWARDBOOK_ADDRESSES", "https://plots.example/")
    assert Site(None, 8443, private).environment()["SWARDBOOK_ADDRESSES"] == "https://plots.example/"


class Minded:
    """A run that is interrupted after some rounds; notes what the web server was told to take up."""

    def __init__(self, rounds):
        self.rounds, self.renewed = rounds, []

    def tend(self):
        self.rounds -= 1
        if self.rounds < 0:
            raise KeyboardInterrupt

    def renew(self, name, environment):
        self.renewed.append(name)


@pytest.fixture
def minded(monkeypatch, private):
    """minded(rounds) -> (what was said, what was renewed); a site that looks at its certificate all the time."""
    monkeypatch.setattr(start, "LOOK_AGAIN_SECONDS", 0)
    monkeypatch.setattr(start.time, "sleep", lambda seconds: None)
    command, said = start.Command(), []
    monkeypatch.setattr(command, "say", said.append)
    site = Site("127.0.0.1", 8443, private)

    def minded(rounds):
        crew = Minded(rounds)
        with pytest.raises(KeyboardInterrupt):
            command.mind(crew, site)
        return said, crew.renewed

    minded.site = site
    return minded


def test_a_running_site_takes_up_another_certificate_once(minded, private):
    minded.site.fit_certificate()
    private.file.unlink()
    said, renewed = minded(3)
    assert said == ["The certificate is another one now; the web server takes it up."]
    assert renewed == ["web"]


def test_a_running_site_goes_on_when_its_authority_is_spoiled_and_says_so_once(minded, private):
    (private.folder / "authority.pem").write_bytes(b"")
    said, renewed = minded(3)
    assert len(said) == 1
    assert "is not readable" in said[0]
    assert renewed == []
