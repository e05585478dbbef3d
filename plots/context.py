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
    return {"here": membership.property, "may": ALLOWED[membership.role]}
