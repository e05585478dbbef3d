"""How the API knows the person: a bearer token, or the session of the pages."""

from django.utils import timezone
from drf_spectacular.authentication import SessionScheme
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework import authentication, exceptions

from plots.models import ApiToken, secret_digest


def token_of(secret):
    """The token with this secret, marked as used today; None where it is unknown or its person may not sign in."""
    token = (
        ApiToken.objects.select_related("user")
        .filter(token_sha256=secret_digest(secret), user__is_active=True)
        .first()
    )
    today = timezone.localdate()
    if token is not None and token.last_used_on != today:
        ApiToken.objects.filter(pk=token.pk).update(last_used_on=today)
    return token


class TokenAuthentication(authentication.BaseAuthentication):
    """`Authorization: Bearer <token>`, with a token made on the account page."""

    def authenticate(self, request):
        scheme, _, secret = request.headers.get("Authorization", "").partition(" ")
        if scheme.lower() != "bearer":
            return None
        token = token_of(secret.strip())
        if token is None:
            raise exceptions.AuthenticationFailed("This token is unknown or has been ended.")
        return token.user, token

    def authenticate_header(self, request):
        return "Bearer"


class SessionAuthentication(authentication.SessionAuthentication):
    """The session of the pages; without one the answer is 401, never a redirect."""

    def authenticate_header(self, request):
        return "Session"


class TokenScheme(OpenApiAuthenticationExtension):
    target_class = TokenAuthentication
    name = "token"

    def get_security_definition(self, auto_schema):
        return {"type": "http", "scheme": "bearer"}


class SessionAuthScheme(SessionScheme):
    target_class = SessionAuthentication
    name = "session"
    priority = 1
