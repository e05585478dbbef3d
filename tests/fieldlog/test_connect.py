"""The page that connects a phone: which way it shows, what its codes say, and the certificate that it hands out."""

from datetime import UTC, datetime

import pytest
from cryptography import x509

from config.running.certificates import PrivateCertificate
from fieldlog.queries import connecting

pytestmark = pytest.mark.django_db

LAN, NAME = "https://192.168.7.20:8443/", "https://barn.local:8443/"


@pytest.fixture
def private(settings, tmp_path):
    """The site speaks HTTPS with a certificate of its own authority."""
    settings.AUTHORITY_DIR = tmp_path / "tls"
    settings.HTTPS = "PRIVATE"
    settings.ADDRESSES = [LAN, NAME]
    PrivateCertificate(settings.AUTHORITY_DIR, "barn").fit(["barn.local", "192.168.7.20"])
    return settings


@pytest.fixture
def coded(monkeypatch):
    """The texts of the codes on a page, in their order."""
    texts = []
    make = connecting.code_of

    def noted(text):
        texts.append(text)
        return make(text)

    monkeypatch.setattr(connecting, "code_of", noted)
    return texts


def page_of(client, user, query=""):
    client.force_login(user)
    answer = client.get(f"/connect/{query}")
    assert answer.status_code == 200
    return answer.text


@pytest.mark.usefixtures("private")
def test_the_codes_lead_to_the_certificate_and_to_the_check(client, recorder, coded):
    page = page_of(client, recorder)
    assert sorted(coded) == [f"{LAN}connect/?on=phone", f"{LAN}connect/authority.crt"]
    assert page.count("<svg") == 2
    assert "barn.local" in page


@pytest.mark.usefixtures("private")
def test_another_address_has_codes_of_its_own(client, recorder, coded):
    page_of(client, recorder, "?at=1")
    assert sorted(coded) == [f"{NAME}connect/?on=phone", f"{NAME}connect/authority.crt"]


@pytest.mark.usefixtures("private")
@pytest.mark.parametrize("at", ["2", "-1", "x", "9" * 30])
def test_an_address_that_is_not_there_shows_the_first(client, recorder, coded, at):
    page_of(client, recorder, f"?at={at}")
    assert f"{LAN}connect/?on=phone" in coded


def test_the_authority_is_shown_as_a_phone_shows_it(client, recorder, private):
    page = page_of(client, recorder)
    held = x509.load_pem_x509_certificate((private.AUTHORITY_DIR / "authority.pem").read_bytes())
    assert f"Swardbook on barn, {datetime.now(UTC):%Y-%m-%d}" in page
    shown = held.fingerprint(held.signature_hash_algorithm).hex(":").upper()
    lines = [shown[start : start + 23] for start in range(0, 95, 24)]
    assert all(f"<span>{line}</span>" in page for line in lines)


def test_the_certificate_is_handed_out_before_anybody_signs_in(client, private):
    answer = client.get("/connect/authority.crt")
    assert answer["Content-Type"] == "application/x-x509-ca-cert"
    assert "Content-Disposition" not in answer
    held = x509.load_pem_x509_certificate((private.AUTHORITY_DIR / "authority.pem").read_bytes())
    assert x509.load_der_x509_certificate(answer.content) == held


@pytest.mark.parametrize("https", ["OFF", "OWN"])
def test_an_authority_that_is_not_in_use_is_not_handed_out(client, private, https):
    private.HTTPS = https
    assert client.get("/connect/authority.crt").status_code == 404


def test_an_authority_that_cannot_be_read_is_not_handed_out(client, private):
    (private.AUTHORITY_DIR / "authority.pem").write_bytes(b"half")
    assert client.get("/connect/authority.crt").status_code == 404


def test_a_certificate_of_ones_own_needs_nothing_installed(client, recorder, settings, coded):
    settings.HTTPS, settings.ADDRESSES = "OWN", ["https://plots.example/"]
    page = page_of(client, recorder)
    assert "https://plots.example/connect/?on=phone" in coded
    assert page.count("<svg") == 1
    assert "certificate" not in page


def test_behind_a_server_that_adds_https_the_address_of_the_request_is_shown(
    client, recorder, settings, coded
):
    settings.ALLOWED_HOSTS = ["plots.example"]
    settings.SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    client.force_login(recorder)
    page = client.get("/connect/", headers={"Host": "plots.example", "X-Forwarded-Proto": "https"}).text
    assert "https://plots.example/connect/?on=phone" in coded
    assert page.count("<svg") == 1


@pytest.mark.parametrize(
    ("addresses", "sentence"),
    [
        ([], "answers on this machine alone"),
        (["http://192.168.7.20:8000/"], "begins with http:// a browser keeps nothing"),
    ],
)
def test_where_a_phone_cannot_be_connected_the_ways_out_are_told(
    client, recorder, settings, addresses, sentence
):
    settings.ADDRESSES = addresses
    client.force_login(recorder)
    page = client.get("/connect/", headers={"Host": "localhost"}).text
    assert sentence in page
    assert "manage.py start --https" in page
    assert "<svg" not in page


@pytest.mark.usefixtures("private")
def test_the_phones_own_page_leads_to_the_pages_of_its_person(client, recorder, stranger, farm, elsewhere):
    page = page_of(client, recorder, "?on=phone")
    assert farm.name in page
    assert elsewhere.name not in page
    assert "<svg" not in page


def test_a_code_holds_its_text_whole_and_dark_on_white():
    picture = connecting.code_of(f"{LAN}connect/?on=phone")
    assert 'fill="#fff"' in picture
    assert 'stroke="#000"' in picture
    assert "style" not in picture


@pytest.mark.parametrize("page", ["/account/", "/p/tally-hollow/"])
def test_the_page_is_found(client, recorder, page):
    client.force_login(recorder)
    assert 'href="/connect/"' in client.get(page).text
