"""How ground is written that may be too small for acres."""

from django import template
from django.utils.html import format_html

from config.templatetags.figures import UNKNOWN, acres_text
from plots.calc.units import FT2_PER_ACRE

register = template.Library()

_LEAST_ACRES = 0.01  # less has one digit in acres, or none


def ground_text(acres):
    """Acres to two decimals, and below a hundredth of an acre square feet: 0.00 ac would read as no ground."""
    if acres is None or abs(acres) >= _LEAST_ACRES or acres == 0:
        return acres_text(acres)
    return f"{acres * FT2_PER_ACRE:,.0f} ft²"


@register.filter
def ground(acres):
    return UNKNOWN if acres is None else format_html('<span class="fig">{}</span>', ground_text(acres))
