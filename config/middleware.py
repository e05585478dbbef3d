"""What every response tells the browser, and how a refused request looks as a page."""

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import JsonResponse
from django.shortcuts import render

from config.errors import Refused, SwardbookError, body


def content_security_policy(imagery_origin=""):
    """Everything from this site alone, save pictures from one server: that of the imagery on this page's map."""
    sources = ["'self'", "data:", "blob:", *([imagery_origin] if imagery_origin else [])]
    return "; ".join(
        [
            "default-src 'self'",
            f"img-src {' '.join(sources)}",
            "style-src 'self'",
            "script-src 'self'",
            "connect-src 'self'",
            "object-src 'none'",
            "base-uri 'none'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        ]
    )


class BrowserRules:
    """Strict Content-Security-Policy and its companions, on every response, static files too."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        response = self.get_response(request)
        policy = content_security_policy(getattr(request, "imagery_origin", ""))
        response.headers.setdefault("Content-Security-Policy", policy)
        response.headers.setdefault("Permissions-Policy", "geolocation=(self), camera=(self), microphone=()")
        return response


class SignInRequired(LoginRequiredMiddleware):
    """Every view wants a person, unless it says otherwise."""

    def handle_no_permission(self, request, view_func):
        if request.headers.get("HX-Request"):
            # a part of a page that is open: what was typed there must not be replaced by the sign-in page
            return render(request, "_signed_out.html", status=401)
        return super().handle_no_permission(request, view_func)


class NoNulInAddresses:
    """No text has the character NUL, and PostgreSQL fails on it.

    The API refuses an address that asks with one. Elsewhere it is read as U+FFFD, which no name has either: a search finds
    nothing, and a field says what it accepts.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        names = [name for name, values in request.GET.lists() if "\0" in "".join([name, *values])]
        if not names:
            return self.get_response(request)
        if request.path.startswith("/api/"):
            name = names[0].replace("\0", "")
            error = Refused(
                f"“{name}” in the address has a character that is no text (NUL); without it, it is accepted."
            )
            said = body(error.code, error.sentence, {name: [error.sentence]})
            return JsonResponse(said, status=error.http_status)
        asked = request.GET.copy()
        for name in names:
            shown = [value.replace("\0", "\ufffd") for value in asked.pop(name)]
            asked.setlist(name.replace("\0", "\ufffd"), shown)
        request.GET = asked
        return self.get_response(request)


class PlainErrors:
    """A SwardbookError that no form caught is shown as a page with its sentence, not as a failure."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_exception(self, request, exception):
        if not isinstance(exception, SwardbookError):
            return None
        return render(request, "refused.html", {"error": exception}, status=exception.http_status)
