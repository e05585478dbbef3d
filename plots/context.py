"""What the page frame needs to know: the property that the address names, if the person may see it."""

from django.conf import settings
from django.http import Http404

from plots.access import property_for


def current_property(request):
    match = request.resolver_match
    slug = match.kwargs.get("slug") if match else None
    if not slug or not request.user.is_authenticated:
        return {}
    property = getattr(request.user, "came_to", None)
    if property is None or property.slug != slug:
        try:
            property = property_for(request.user, slug)
        except Http404:
            return {}
    return {
        "here": property,
        "may": property.allowed,
        "section": _section(match.func),
        "imagery": {
            "address": settings.IMAGERY_URL,
            "credit": settings.IMAGERY_CREDIT,
            "zoom": settings.IMAGERY_ZOOM,
        },
    }


def _section(view):
    """Read here and not in the template, which would call the view on its way to the attribute."""
    return getattr(getattr(view, "view_class", view), "section", "")
