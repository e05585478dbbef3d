"""How a value and its basis are written: a figure with a letter that says where it comes from."""

from decimal import Decimal

from django import template
from django.utils.html import format_html
from django.utils.safestring import mark_safe

from blends.calc.fit import CROWDED_SHARE, THIN_SHARE
from blends.models import Basis
from config.templatetags.figures import UNKNOWN, percent

register = template.Library()

MARKS = {
    Basis.PUBLISHED: "P",
    Basis.WORKED_OUT: "W",
    Basis.PART_PUBLISHED: "p",
    Basis.MEMORY: "m",
    Basis.COMMON_PRACTICE: "c",
    Basis.MEASURED: "H",
    Basis.YOURS: "Y",
}


@register.simple_tag
def basis_legend():
    """(mark, label, basis) of every basis, for the key beside a table."""
    return [(mark, basis.label, basis.value) for basis, mark in MARKS.items()]


@register.filter
def plain(value):
    """A number with thousands separators and no zeros after its last decimal; words as they are."""
    if value is None or value == "":
        return UNKNOWN
    return format_html('<span class="fig">{}</span>', _text(value)) if _is_number(value) else str(value)


@register.filter
def basis_mark(fact):
    """The letter of a fact's basis; nothing where the value is unknown."""
    if not fact.basis:
        return ""
    return format_html(
        '<span class="basis basis-{}" title="{}">{}</span><span class="sr"> ({})</span>',
        fact.basis,
        fact.basis_label,
        MARKS[fact.basis],
        fact.basis_label,
    )


@register.filter
def with_basis(fact):
    """A fact's value and its mark."""
    return format_html("{}{}", plain(fact.shown), basis_mark(fact))


@register.filter
def range_with_basis(low, high):
    """Two facts as a range: one mark where both rest on the same basis, otherwise one each."""
    if low.value is None or high.value is None or low.value == high.value:
        return with_basis(high if low.value is None else low)
    low_mark = mark_safe("") if low.basis == high.basis else basis_mark(low)  # noqa: S308
    return format_html("{}{}–{}{}", plain(low.value), low_mark, plain(high.value), basis_mark(high))


@register.filter
def as_percent(share):
    """A share (0 to 1) as a whole percentage."""
    return percent(None if share is None else share * 100, 0)


@register.filter
def as_percent_1(share):
    """A share as a percentage with one decimal."""
    return percent(None if share is None else share * 100, 1)


_STANDS = [
    (0.5, "thin, less than half a stand"),
    (THIN_SHARE, "light"),
    (CROWDED_SHARE, "about a full stand"),
    (1.5, "crowded"),
    (float("inf"), "far too crowded, the weak species will go under"),
]


@register.filter
def crowding(share_of_full_rates):
    """What the sum of the shares of full rates means, in words."""
    if share_of_full_rates is None:
        return "How full the stand will be is not known yet."
    words = next(words for most, words in _STANDS if share_of_full_rates <= most)
    return format_html("{} of full rates: {}.", as_percent(share_of_full_rates), words)


def _is_number(value):
    return isinstance(value, int | float | Decimal) and not isinstance(value, bool)


def _text(value):
    exact = value if isinstance(value, Decimal) else Decimal(repr(value))
    return f"{exact.normalize():,f}"
