"""Target against delivered, a pair of bars a plot."""

from blends.pictures.shapes import WIDTH, Picture, Table, label, line, linear, name_labels, rect, written

MOST_PLOTS = 24
_LEFT, _RIGHT, _TOP = 112, WIDTH - 46, 8
_ROW, _BAR = 38, 13


def sown_picture(key, plots):
    """Bulk pounds an acre that were asked for and that went out.

    Parameters
    ----------
    key : str
    plots : list of PlotDelivered
        Drawn are those of which both or one of the two is known, at most `MOST_PLOTS`.

    Returns
    -------
    Picture or None
        None where nothing can be drawn.
    """
    known = [
        each for each in plots if each.total is not None and each.total.delivered_lb_per_acre is not None
    ]
    drawn = known[:MOST_PLOTS]
    if not drawn:
        return None
    most = max(max(_rates(each)) for each in drawn) or 1
    shapes = [line(_LEFT, _TOP - 4, _LEFT, _TOP + len(drawn) * _ROW, "p-axis")]
    for number, each in enumerate(drawn):
        shapes += _pair(each, _TOP + number * _ROW, most)
    unknown = [each.planting.plot.name for each in drawn if each.total.target_lb_per_acre is None]
    said = []
    if unknown:
        said.append(f"The target is not known of {', '.join(unknown)}.")
    if len(known) > len(drawn):
        said.append(f"The first {MOST_PLOTS} of {len(known)} plots are drawn; the table has all.")
    return Picture(
        key=key,
        title="Target and delivered, bulk pounds an acre",
        description=" ".join(_told(each) for each in drawn),
        height=_TOP + len(drawn) * _ROW + 6,
        shapes=shapes,
        table=Table(
            ["Plot", "Target, lb/ac", "Delivered, lb/ac"],
            [
                [
                    each.planting.plot.name,
                    written(each.total.target_lb_per_acre, 2),
                    written(each.total.delivered_lb_per_acre, 2),
                ]
                for each in known
            ],
        ),
        legend=[("target", "target"), ("sown", "delivered")],
        said=said,
    )


def _rates(each):
    return [each.total.delivered_lb_per_acre, each.total.target_lb_per_acre or 0.0]


def _pair(each, top, most):
    shapes = name_labels(each.planting.plot.name, 0, top + _BAR, _LEFT - 8)
    for place, (rate, css) in enumerate(
        ((each.total.target_lb_per_acre, "p-target"), (each.total.delivered_lb_per_acre, "p-bar"))
    ):
        if rate is None:
            continue
        end = linear(rate, 0, most, _LEFT, _RIGHT)
        y = top + place * (_BAR + 1)
        shapes.append(rect(_LEFT, y, max(end - _LEFT, 0.5), _BAR - 2, css))
        shapes.append(label(end + 4, y + _BAR - 3, written(rate, 1), "p-text"))
    return shapes


def _told(each):
    target = written(each.total.target_lb_per_acre, 1)
    return f"{each.planting.plot.name}: target {target}, delivered {written(each.total.delivered_lb_per_acre, 1)}."
