"""Who asks, in which form they want the answer, and under which address they know this site."""

import base64
import binascii
from urllib.parse import urlsplit

from django.conf import settings
from django.urls import reverse
from django.utils.http import urlencode

from config.errors import Refused, SwardbookError
from plots.api_auth import token_of

JSON, HTML, GEOJSON = "application/json", "text/html", "application/geo+json"
EVERYWHERE = {"f", "token"}  # parameters that every address takes


class NotSignedIn(SwardbookError):
    """No token, a wrong one, or one that was ended: the same words for all, so that nothing is learnt."""

    code = "not_signed_in"
    http_status = 401

    def __init__(self):
        super().__init__(
            "A token of your account page is needed here: as a bearer token, as the password of HTTP Basic, "
            "or as ?token= in the address."
        )


class Asked:
    """One request: `user`, `wants_html`, and links that carry on the token of the address.

    Raises
    ------
    NotSignedIn
        A token that opens nothing, or no token where nobody is signed in.
    """

    def __init__(self, request):
        self.request = request
        self.values = request.GET
        self.user = self._user()
        by_address = "token" in self.values and "Authorization" not in request.headers
        self._carried = {"token": self.values["token"]} if by_address else {}

    @property
    def wants_html(self):
        return wants_html(self.request)

    def check_names(self, accepted):
        """Refuse what this address does not take, and what it takes but is said in two ways."""
        for name, values in self.values.lists():
            if name not in EVERYWHERE | accepted:
                takes = ", ".join(sorted(EVERYWHERE | accepted))
                raise Refused(f"The parameter {name[:40]!r} is not known here; {takes} are accepted.")
            if len(set(values)) > 1:
                raise Refused(
                    f"The parameter {name!r} is given twice with different values; one is accepted."
                )
        if self.values.get("f", "json") not in ("json", "html"):
            raise Refused(f"The form f is {self.values['f'][:40]!r}; json and html are accepted.")

    def href(self, route, query=None, **kwargs):
        """The absolute address of a route, with the token if it came in the address."""
        address = public_origin(self.request) + reverse(route, kwargs=kwargs)
        asked = {**(query or {}), **self._carried}
        return f"{address}?{urlencode(asked)}" if asked else address

    def link(self, rel, route, title, query=None, media_type=JSON, **kwargs):
        href = self.href(route, query, **kwargs)
        return {"rel": rel, "type": media_type, "title": title, "href": href}

    def _user(self):
        secret = _secret_in(self.request)
        if secret is not None:
            token = token_of(secret)
            if token is None:
                raise NotSignedIn
            return token.user
        if not self.request.user.is_authenticated:
            raise NotSignedIn
        return self.request.user


def wants_html(request):
    """HTML for whoever asks for it by name; `*/*` gets JSON."""
    if "f" in request.GET:
        return request.GET["f"] == "html"
    return request.get_preferred_type([GEOJSON, JSON, HTML]) == HTML


def _secret_in(request):
    """The token that came with the request; None without one."""
    authorization = request.headers.get("Authorization")
    if authorization is None:
        return request.GET.get("token")
    scheme, _, value = authorization.partition(" ")
    if scheme.lower() == "bearer":
        return value.strip()
    if scheme.lower() == "basic":
        try:
            return base64.b64decode(value, validate=True).decode().partition(":")[2]
        except (binascii.Error, UnicodeDecodeError):
            return ""
    return ""


def public_origin(request):
    """Scheme and host as the person knows them.

    A proxy that passes on its own Host says the public one in X-Forwarded-Host; it is believed where the owner
    has named it among the origins.
    """
    forwarded = request.headers.get("X-Forwarded-Host", "").partition(",")[0].strip()
    for origin in settings.CSRF_TRUSTED_ORIGINS:
        if urlsplit(origin).netloc == forwarded:
            return origin.rstrip("/")
    return f"{request.scheme}://{request.get_host()}"
