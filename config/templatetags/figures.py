"""How figures are written on every page: units always, unknown as a dash that says so."""

from decimal import ROUND_HALF_UP, Decimal

from django import template
from django.template.defaultfilters import date as written
from django.utils.html import format_html

register = template.Library()

UNKNOWN = format_html(
    '<span class="unknown" title="not known">{}<span class="sr"> not known</span></span>', "–"
)


def _number(value, places):
    if value is None or value == "" or value != value:  # None, nothing typed, NaN
        return None
    exact = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
    return f"{exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP):,}"


def _with_unit(value, places, unit):
    text = _number(value, places)
    return UNKNOWN if text is None else format_html('<span class="fig">{}&nbsp;{}</span>', text, unit)


@register.filter
def figure(value, places=0):
    """A bare number with thousands separators."""
    text = _number(value, int(places))
    return UNKNOWN if text is None else format_html('<span class="fig">{}</span>', text)


@register.filter
def signed(value, places=0):
    """A difference: + or − stands before it, neither before what reads as zero."""
    text = _number(value, int(places))
    if text is None:
        return UNKNOWN
    digits = text.lstrip("-")
    sign = "" if not digits.strip("0.,") else "−" if text.startswith("-") else "+"
    return format_html('<span class="fig">{}{}</span>', sign, digits)


@register.filter
def acres(value):
    """Two decimals: a metre of error along the edge of one acre is already 0.06 acre."""
    return _with_unit(value, 2, "ac")


def acres_text(value):
    """The same figure in plain text, for where HTML cannot go."""
    text = _number(value, 2)
    return "acres not known" if text is None else f"{text} ac"


def figure_text(value, places, unit=""):
    """A figure in plain text; None where it is not known."""
    text = _number(value, places)
    return f"{text} {unit}" if text and unit else text


@register.filter
def pounds(value, places=1):
    return _with_unit(value, int(places), "lb")


@register.filter
def lb_per_acre(value):
    return _with_unit(value, 2, "lb/ac")


@register.filter
def percent(value, places=1):
    return _with_unit(value, int(places), "%")


@register.filter
def usd(value):
    text = _number(value, 2)
    if text is None:
        return UNKNOWN
    sign, digits = ("−", text[1:]) if text.startswith("-") else ("", text)
    return format_html('<span class="fig">{}${}</span>', sign, digits)


@register.filter
def day(value):
    """4 Sep 2026: reads the same on both sides of an ocean."""
    return written(value, "j M Y")


@register.filter
def moment(value):
    return written(value, "j M Y, H:i")
