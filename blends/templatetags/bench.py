"""How a judgement is written: bands, the cells of a working, and what a figure comes from."""

from datetime import date
from decimal import Decimal

from django import template
from django.utils.html import format_html, format_html_join

from blends.templatetags.facts import basis_mark, plain
from config.templatetags.figures import UNKNOWN, day, figure

register = template.Library()

_RANGE = "<span>{} to {}</span>"  # one box, where a cell lays out its parts


@register.filter
def band(value, decimals=0):
    """A Band as low to high; one figure where it has no width, a dash where it is not known."""
    if value.likely is None:
        return UNKNOWN
    low, high = figure(value.low, decimals), figure(value.high, decimals)
    return figure(value.likely, decimals) if low == high else format_html(_RANGE, low, high)


@register.filter
def span(value, high):
    """Two ends as low to high; a dash where either is not known."""
    if value is None or high is None:
        return UNKNOWN
    low, top = figure(value), figure(high)
    return low if low == top else format_html(_RANGE, low, top)


@register.filter
def at(rows, position):
    """The row at a position."""
    return rows[position]


@register.filter
def cell(value):
    """A cell of a working with the mark of its basis."""
    said = value.value
    if isinstance(said, date):
        said = day(said)
    elif value.decimals is None:
        said = plain(said)
    else:
        said = figure(said, value.decimals)
    return said if value.fact is None else format_html("{}{}", said, basis_mark(value.fact))


@register.filter
def columns_of(working):
    """(head, css class) of each column of a working: figures stand on the right, words on the left."""
    by_column = zip(*(cells for _, cells in working.rows), strict=True)
    return [
        (head, "num" if all(_is_figure(each.value) for each in cells) else "")
        for head, cells in zip(working.columns, by_column, strict=True)
    ]


def _is_figure(value):
    return value is None or (isinstance(value, int | float | Decimal) and not isinstance(value, bool))


@register.simple_tag
def working_row(columns, name, cells):
    """A row of a working; each cell says its own heading where the table becomes a list."""
    tds = format_html_join(
        "",
        '<td class="{}" data-th="{}"><span>{}</span></td>',
        ((css, head, cell(each)) for (head, css), each in zip(columns, cells, strict=True)),
    )
    return format_html('<tr><th scope="row">{}</th>{}</tr>', name, tds)


@register.filter
def source_words(source):
    """Title, publisher and year; a note, and that it is from memory, where the source says so."""
    if hasattr(source, "basis"):
        return str(source).rstrip(".")
    return ", ".join(part for part in (source.title, source.publisher, source.year) if part)
