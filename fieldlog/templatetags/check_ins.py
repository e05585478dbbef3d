"""Who should be back by now, wherever a page has room to say so."""

from django import template

from fieldlog.queries.check_ins import overdue_for

register = template.Library()


@register.simple_tag
def overdue_check_ins(property):
    """Check-ins whose time has passed; one query."""
    return list(overdue_for(property))
