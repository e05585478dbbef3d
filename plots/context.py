"""What the page frame needs to know: the property that the address names, if the person may see it."""

from django.http import Http404
from django.utils.functional import SimpleLazyObject

from plots.access import property_for
from plots.backdrop import backdrop_of


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
        "imagery": SimpleLazyObject(lambda: _backdrop(request, property)),
    }


def _backdrop(request, property):
    """Asked for by maps alone: the policy of a page that has none lets no other server in."""
    backdrop = backdrop_of(property)
    if backdrop.origin:
        request.imagery_origin = backdrop.origin
    return backdrop


def _section(view):
    """Read here and not in the template, which would call the view on its way to the attribute."""
    return getattr(getattr(view, "view_class", view), "section", "")
