"""The only door to a property's rows.

A person without a membership gets 404, so that nobody learns that a property exists; a member whose
role does not allow the act gets 403. Pages, the API, files and jobs all come through here.
"""

from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404

from plots.models import BoundaryImport, Job, Landmark, Membership, Plot, Property, SoilTest, Walk

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
LARGEST_ID = 2**63 - 1  # beyond it a database cannot even be asked


def id_in(text):
    """The id that a text names; None where it is none."""
    is_id = text.isdecimal() and len(text) <= len(str(LARGEST_ID))
    return int(text) if is_id and int(text) <= LARGEST_ID else None


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


def boundary_for(user, slug, plot_id, boundary_id, may=VIEW):
    """A boundary of the plot, current or not."""
    plot = plot_for(user, slug, plot_id, may)
    boundary = get_object_or_404(plot.boundaries.all(), pk=boundary_id)
    boundary.plot = plot
    return boundary


def import_for(user, slug, import_id, may=EDIT):
    return row_for(user, slug, BoundaryImport.objects.all(), may, pk=import_id)


def job_for(user, slug, job_id, may=VIEW):
    return row_for(user, slug, Job.objects.all(), may, pk=job_id)


def landmark_for(user, slug, landmark_id, may=VIEW):
    return row_for(user, slug, Landmark.objects.select_related("created_by"), may, pk=landmark_id)


def soil_test_for(user, slug, test_id, may=VIEW):
    """A soil test with its plot, which carries the property that was asked for."""
    property = property_for(user, slug, may)
    rows = SoilTest.objects.filter(plot__property=property).select_related("plot", "created_by")
    test = get_object_or_404(rows, pk=test_id)
    test.plot.property = property
    return test


def may_correct(user, property, row):
    """Whether the person may change what a row says: whoever edits may, and who entered it what is theirs."""
    return EDIT in property.allowed or (RECORD in property.allowed and row.created_by_id == user.pk)


def check_may_correct(user, property, row):
    """Let nobody else pass.

    Raises
    ------
    PermissionDenied
    """
    if not may_correct(user, property, row):
        raise PermissionDenied("What another person entered is changed by a manager or the owner.")


def walk_for(user, slug, walk_id, may=VIEW):
    return row_for(user, slug, Walk.objects.select_related("plot__boundary", "created_by"), may, pk=walk_id)
