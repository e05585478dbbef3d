"""Ground covered by residue in the weeks after termination: a band, the likely line, and 30 %."""

from blends.pictures.shapes import WIDTH, Picture, Table, label, line, linear, polyline, written, written_band

HELD_PCT = 30
"""Residue cover after planting from which tillage counts as conservation tillage."""

_LEFT, _RIGHT, _TOP, _BOTTOM = 46, WIDTH - 10, 10, 150


def place(week, pct, weeks):
    """(x, y) of a week and a cover."""
    return linear(week, 0, max(weeks, 1), _LEFT, _RIGHT), linear(pct, 0, 100, _BOTTOM, _TOP)


def cover_picture(key, weeks, days_above):
    """The band of cover over the weeks.

    Parameters
    ----------
    key : str
    weeks : list
        With `week` and `cover`, a band. [share of the ground, 0 to 1]
    days_above : band
        Days above 30 %.

    Returns
    -------
    Picture
    """
    known = [each for each in weeks if each.cover.is_known]
    last = max((each.week for each in weeks), default=12)
    shapes = _axes(last)
    if known:
        low = [place(each.week, _low(each.cover) * 100, last) for each in known]
        high = [place(each.week, _high(each.cover) * 100, last) for each in known]
        likely = [place(each.week, each.cover.likely * 100, last) for each in known]
        shapes.append(polyline([*high, *reversed(low)], "p-area", closed=True))
        shapes.append(polyline(low, "p-edge"))
        shapes.append(polyline(high, "p-edge"))
        shapes.append(polyline(likely, "p-line"))
    held = place(0, HELD_PCT, last)[1]
    shapes.append(line(_LEFT, held, _RIGHT, held, "p-held"))
    shapes.append(label(_LEFT + 6, held + 16, "30 % of the ground", "p-text p-strong p-onpaper"))
    if not known:
        shapes.append(label((_LEFT + _RIGHT) / 2, 60, "Cover is not known.", "p-text p-faint", "middle"))
    return Picture(
        key=key,
        title="Ground covered after termination",
        description=_described(known, days_above),
        height=_BOTTOM + 36,
        shapes=shapes,
        table=Table(
            ["Week", "Ground covered", "Dry matter left, lb/ac"],
            [
                [str(each.week), _in_percent(each.cover), written_band(each.dry_matter_lb_per_acre)]
                for each in weeks
            ],
        ),
        said=[] if known else ["Residue cover is not known."],
    )


def _axes(last):
    shapes = []
    for pct in (0, 50, 100):
        y = place(0, pct, last)[1]
        shapes.append(line(_LEFT, y, _RIGHT, y, "p-axis" if pct == 0 else "p-grid"))
        shapes.append(label(_LEFT - 5, y + 4.5, f"{pct} %", "p-text p-faint", "end"))
    step = next(step for step in (1, 2, 4, 8, 13, 26, 52) if last / step <= 7)
    for week in range(0, last + 1, step):
        x = place(week, 0, last)[0]
        shapes.append(line(x, _BOTTOM, x, _BOTTOM + 4, "p-axis"))
        shapes.append(label(x, _BOTTOM + 17, str(week), "p-text p-faint", "middle"))
    shapes.append(
        label((_LEFT + _RIGHT) / 2, _BOTTOM + 32, "weeks after termination", "p-text p-faint", "middle")
    )
    return shapes


def _low(band):
    return band.likely if band.low is None else band.low


def _high(band):
    return band.likely if band.high is None else band.high


def _in_percent(band):
    if not band.is_known:
        return "not known"
    low, likely, high = (written(value * 100) for value in (_low(band), band.likely, _high(band)))
    return f"{likely} %" if low == high else f"{low} to {high} %, likely {likely}"


def _described(known, days_above):
    if not known:
        return "Not known."
    first, last = known[0], known[-1]
    return (
        f"At termination {_in_percent(first.cover)}, of the ground is covered; after {last.week} weeks "
        f"{_in_percent(last.cover)}. More than 30 % covered for {written_band(days_above, 0, ' days')}."
    )
