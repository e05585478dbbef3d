"""Visits and readings in words."""

from django import template
from django.utils import timezone

from fieldlog import told
from fieldlog.calc.same_view import direction

register = template.Library()


@register.filter
def days_ago(moment):
    """'today', 'yesterday', '12 days ago', by the days of the site's time zone."""
    days = (timezone.localdate() - timezone.localtime(moment).date()).days
    if days <= 0:  # a clock that is ahead
        return "today"
    return "yesterday" if days == 1 else f"{days:,} days ago"


register.filter("kind_title", told.title_of)
register.filter("reading_told", told.reading_told)
register.filter("figure_told", told.figure_told)
register.filter("expected_told", told.expected_told)
register.filter("as_expected", told.is_as_expected)
register.filter("direction", direction)


@register.filter
def here(photos):
    """Of some pictures those whose bytes have come."""
    return [each for each in photos if each.arrived_at is not None]


@register.filter
def awaited(photos):
    """How many of some pictures are still on a phone."""
    return sum(1 for each in photos if each.arrived_at is None)
