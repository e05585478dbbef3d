"""The sentences of a planting sheet on its page."""

from django import template

from blends.queries.sheets import words

register = template.Library()


@register.filter
def holds(box, level_pct):
    return words.holds_text(box, level_pct)


@register.filter
def last_setting(box):
    return words.last_text(box)


@register.filter
def fitted_setting(box):
    return words.fitted_text(box)


@register.filter
def to_catch(box, machine):
    return words.catch_text(machine, box)


@register.filter
def depths(sheet):
    return words.depth_texts(sheet)


@register.filter
def soil_temp(sheet):
    return words.soil_temp_text(sheet)


@register.filter
def inoculate(row):
    return words.inoculant_text(row)


@register.filter
def each_number(fill):
    """The numbers of fills that are alike, to tick one by one."""
    return range(fill.first, fill.last + 1)


@register.filter
def parts_of(fill, box):
    """(seed, pounds) of a fill, in the box's order; seed of which nothing goes in is left out."""
    return [(seed, lb) for seed, lb in zip(box.seeds, fill.parts_lb, strict=True) if lb]
