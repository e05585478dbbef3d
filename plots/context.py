"""What the page frame needs to know: the property that the address names, if the person may see it."""

from plots.access import ALLOWED
from plots.models import Membership


def current_property(request):
    match = request.resolver_match
    slug = match.kwargs.get("slug") if match else None
    if not slug or not request.user.is_authenticated:
        return {}
    membership = (
        Membership.objects.select_related("property").filter(user=request.user, property__slug=slug).first()
    )
    if membership is None:
        return {}
    return {"here": membership.property, "may": ALLOWED[membership.role], "section": _section(match.func)}


def _section(view):
    """Read here and not in the template, which would call the view on its way to the attribute."""
    return getattr(getattr(view, "view_class", view), "section", "")
