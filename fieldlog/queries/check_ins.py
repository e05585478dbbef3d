"""Who is out alone, and who should be back by now."""

from django.utils import timezone

from fieldlog.models import CheckIn


def out_now(property):
    """Check-ins of people who have not said that they are back, those due first; each with its plot and person."""
    rows = CheckIn.objects.filter(property=property, ended_at__isnull=True)
    return rows.select_related("plot", "user").order_by("back_by", "pk")


def overdue_for(property, now=None):
    """Those of `out_now` whose time has passed; one query."""
    return out_now(property).filter(back_by__lt=now or timezone.now())


def check_ins_of(property):
    """All of them, the latest first."""
    rows = CheckIn.objects.filter(property=property)
    return rows.select_related("plot", "user", "ended_by").order_by("-began_at", "pk")
