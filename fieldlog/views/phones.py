"""What makes the field log a thing that a phone installs, and the phones of a property's people."""

from django.contrib import messages
from django.http import JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from config.pages import section
from fieldlog.queries.phones import phones_for, phones_of, waiting_for
from fieldlog.services.phones import check_may_end, end_phone, let_phone_in
from plots.access import EDIT, property_for

_INK, _PAPER = "#23405c", "#fdfcf7"
_ICONS = (192, 512)


@section("plots")
@require_safe
def manifest(request, slug):
    """The web app manifest. Its scope is the site, so that signing in and a visit's page open within the app."""
    property = property_for(request.user, slug)
    page = reverse("field", args=[slug])
    said = {
        "id": page,
        "name": f"{property.name} field log",
        "short_name": "Field log",
        "lang": "en",
        "start_url": page,
        "scope": "/",
        "display": "standalone",
        "background_color": _PAPER,
        "theme_color": _INK,
        "icons": [
            {"src": static("site/icon.svg"), "sizes": "any", "type": "image/svg+xml", "purpose": "any"},
            *(
                {
                    "src": static(f"site/icon-{size}.png"),
                    "sizes": f"{size}x{size}",
                    "type": "image/png",
                    "purpose": "any maskable",
                }
                for size in _ICONS
            ),
        ],
    }
    answer = JsonResponse(said, content_type="application/manifest+json")
    answer["Cache-Control"] = "private, no-store"
    return answer


@section("plots")
@require_safe
def phones(request, slug):
    """Phones with what waits on each."""
    property = property_for(request.user, slug, EDIT)
    facts = {"property": property, "phones": phones_for(property, request.user)}
    return render(request, "fieldlog/phones.html", facts)


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def phone(request, slug, phone_pk):
    """Whether its access is to be ended, with what waits on it; or that it is let in again."""
    property = property_for(request.user, slug, EDIT)
    phone = get_object_or_404(phones_of(property), pk=phone_pk)
    check_may_end(phone, request.user, property)
    if request.method == "POST":
        _do(request, phone, property)
        return redirect("phones", slug)
    facts = {"property": property, "phone": phone, "waiting": waiting_for(phone, property)}
    return render(request, "fieldlog/phone_end.html", facts)


def _do(request, phone, property):
    act, who = request.POST.get("act", ""), phone.user.shown_name
    if act == "end":
        end_phone(phone=phone, by=request.user, property=property)
        messages.success(request, f"{who} is signed out on “{phone}”, and nothing is taken from it.")
    elif act == "let-in":
        let_phone_in(phone=phone, by=request.user, property=property)
        messages.success(
            request, f"What {who} sends from “{phone}” is taken again, once {who} has signed in on it."
        )
    else:
        messages.error(
            request, f"“{act}” is nothing that can be done with a phone; “end” and “let-in” are accepted."
        )
