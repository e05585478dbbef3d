"""What each rule of a way to buy costs: a bar for each, from nothing to the right."""

from blends.pictures.shapes import WIDTH, Picture, Table, label, line, linear, rect

_LEFT, _RIGHT, _ROW, _TOP = 10, WIDTH - 78, 40, 8


def rules_picture(key, rules):
    """Bars of what rules cost.

    Parameters
    ----------
    key : str
    rules : list of (str, Decimal or None)
        The rule in words, and what it costs [USD]; None is not known and has no bar.

    Returns
    -------
    Picture
    """
    most = max((float(usd) for _, usd in rules if usd is not None), default=0.0)
    shapes = []
    for number, (words, usd) in enumerate(rules):
        y = _TOP + number * _ROW
        shapes.append(label(_LEFT, y + 12, words))
        if usd is None:
            shapes.append(label(_LEFT, y + 29, "not known", "p-text p-faint"))
            continue
        end = linear(float(usd), 0, most or 1.0, _LEFT, _RIGHT)
        if end > _LEFT:
            shapes.append(rect(_LEFT, y + 18, end - _LEFT, 12, "p-bar"))
        shapes.append(label(end + 6, y + 29, written_usd(usd), "p-text p-strong"))
    bottom = _TOP + len(rules) * _ROW
    shapes.append(line(_LEFT, _TOP, _LEFT, bottom, "p-axis"))
    return Picture(
        key=key,
        title="What each rule costs",
        description="; ".join(f"{words}: {_said(usd)}" for words, usd in rules) + ".",
        height=bottom + 6,
        shapes=shapes,
        table=Table(["Rule", "Costs"], [[words, _said(usd)] for words, usd in rules]),
    )


def written_usd(usd):
    return f"${usd:,.2f}"


def _said(usd):
    return "not known" if usd is None else written_usd(usd)
