"""Numbers and lists in words, and the workings that are made of them."""

from django.utils.dateformat import format as dated

from blends.queries.judgement.shapes import Working


def number(value, decimals=0):
    return f"{value:,.{decimals}f}"


def day(value):
    """ "4 Sep 2026", as the pages write it."""
    return dated(value, "j M Y")


def near(value):
    """A difference as short as it can be without coming out as 0."""
    return "less than 0.1" if value < 0.05 else number(value, 0 if value >= 0.95 else 1)


def band_words(band, unit="", decimals=0):
    """ "24 (21 to 28) lb/ac"; the one figure alone where the range has no width."""
    unit = f" {unit}" if unit else ""
    if not band.is_known:
        return "not known"
    low, likely, high = (number(end, decimals) for end in (band.low, band.likely, band.high))
    return likely + unit if low == high else f"{likely} ({low} to {high}){unit}"


def range_words(low, high, decimals=0):
    low, high = (f"{end:.{decimals}f}" for end in (low, high))
    return low if low == high else f"{low} to {high}"


def listed(things):
    """ "oats, rye and clover"."""
    things = [str(thing) for thing in things]
    return " and ".join([", ".join(things[:-1]), things[-1]] if len(things) > 1 else things)


def verb(things, one, many):
    return one if len(things) == 1 else many


def working(key, title, calculation, result, columns=(), rows=(), *, sources=(), notes=()):
    """A Working by a described calculation: its formula, sources and notes, and more of the last two."""
    described = calculation.calculation
    return Working(
        key=key,
        title=title,
        formula=described.formula,
        result=result,
        columns=list(columns),
        rows=list(rows),
        sources=[*described.sources, *sources],
        notes=[*described.notes, *notes],
    )
