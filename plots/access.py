"""The only door to a property's rows.

A person without a membership gets 404, so that nobody learns that a property exists; a member whose
role does not allow the act gets 403. Pages, the API, files and jobs all come through here.
"""

from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404

from plots.models import BoundaryImport, Job, Membership, Plot, Property

VIEW, COSTS, RECORD, EDIT, OWN = "view", "costs", "record", "edit", "own"

ALLOWED = {
    Membership.Role.VIEWER: {VIEW, COSTS},
    Membership.Role.RECORDER: {VIEW, RECORD},
    Membership.Role.MANAGER: {VIEW, COSTS, RECORD, EDIT},
    Membership.Role.OWNER: {VIEW, COSTS, RECORD, EDIT, OWN},
}
_REASON = {
    COSTS: "Your role on this property does not include orders and costs.",
    RECORD: "Your role on this property does not include recording visits.",
    EDIT: "Your role on this property lets you look, not change.",
    OWN: "Only the property's owner can do this.",
}


def properties_for(user):
    """The properties that the person belongs to, by name."""
    return Property.objects.filter(memberships__user=user).order_by("name")


def role_on(user, property):
    """The person's role there, or None."""
    return Membership.objects.filter(user=user, property=property).values_list("role", flat=True).first()


def property_for(user, slug, may=VIEW):
    """The property, if the person belongs to it and their role includes `may`.

    The property comes with `.role` and `.allowed` (the set of acts) for pages and serializers. The person
    who asked carries it on as `.came_to` to the page's frame; the door itself always asks the database.

    Raises
    ------
    Http404
        No such property, or no membership.
    PermissionDenied
        A member whose role does not include `may`.
    """
    membership = get_object_or_404(
        Membership.objects.select_related("property"), user_id=user.pk, property__slug=slug
    )
    property = membership.property
    property.role = membership.role
    property.allowed = ALLOWED[membership.role]
    user.came_to = property
    if may not in property.allowed:
        raise PermissionDenied(_REASON[may])
    return property


def row_for(user, slug, rows, may=VIEW, **lookup):
    """One row of `rows` (a queryset with a `property` field) through the property's door."""
    property = property_for(user, slug, may)
    row = get_object_or_404(rows.filter(property=property), **lookup)
    row.property = property
    return row


def plot_for(user, slug, plot_id, may=VIEW):
    return row_for(user, slug, Plot.objects.select_related("boundary"), may, pk=plot_id)


def import_for(user, slug, import_id, may=EDIT):
    return row_for(user, slug, BoundaryImport.objects.all(), may, pk=import_id)


def job_for(user, slug, job_id, may=VIEW):
    return row_for(user, slug, Job.objects.all(), may, pk=job_id)
