"""How long ago a visit was, in words."""

from django import template
from django.utils import timezone

register = template.Library()


@register.filter
def days_ago(moment):
    """'today', 'yesterday', '12 days ago', by the days of the site's time zone."""
    days = (timezone.localdate() - timezone.localtime(moment).date()).days
    if days <= 0:  # a clock that is ahead
        return "today"
    return "yesterday" if days == 1 else f"{days:,} days ago"
