"""What every response tells the browser, and how a refused request looks as a page."""

from urllib.parse import urlsplit

from django.conf import settings
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.shortcuts import render

from config.errors import SwardbookError


def content_security_policy():
    """Everything from this site alone, save the pictures of a map server that the owner has named."""
    sources = ["'self'", "data:", "blob:"]
    if settings.IMAGERY_URL:
        sources.append("{0.scheme}://{0.netloc}".format(urlsplit(settings.IMAGERY_URL)))
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
        response.headers.setdefault("Content-Security-Policy", content_security_policy())
        response.headers.setdefault("Permissions-Policy", "geolocation=(self), camera=(self), microphone=()")
        return response


class SignInRequired(LoginRequiredMiddleware):
    """Every view wants a person, unless it says otherwise."""

    def handle_no_permission(self, request, view_func):
        if request.headers.get("HX-Request"):
            # a part of a page that is open: what was typed there must not be replaced by the sign-in page
            return render(request, "_signed_out.html", status=401)
        return super().handle_no_permission(request, view_func)


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
