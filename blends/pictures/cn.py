"""C:N of the residue at both stages, on a scale with the zone that the objective wants."""

from blends.pictures.shapes import (
    WIDTH,
    Picture,
    Table,
    diamonds,
    label,
    line,
    logarithmic,
    rect,
    written,
    written_band,
)

LOW, HIGH = 5, 90
MICROBES_DIET = 24
"""C:N at which microbes neither take nitrogen from the soil nor leave any; NRCS, see DEVELOPERS.md."""

_TICKS = (5, 10, 15, 20, 30, 40, 60, 90)
_LEFT, _RIGHT = 8, WIDTH - 8
_SMALL = 190  # width of the picture in a comparison
_TOP, _STAGE = 40, 42  # of the first stage; height of one


def place(cn, right=_RIGHT):
    """x of a ratio; equal ratios are equally far apart, since 10 to 20 matters as much as 20 to 40."""
    return logarithmic(cn, LOW, HIGH, _LEFT, right)


def cn_picture(key, residues, zone_low, zone_high, objective):
    """The bands of C:N, leafy and mature.

    Parameters
    ----------
    key : str
    residues : list
        With `label`, such as "while leafy", and `cn`, a band; one for each stage.
    zone_low, zone_high : float or None
        What the objective wants; None is open on that side.
    objective : str
        Its words.

    Returns
    -------
    Picture
    """
    bottom = _TOP + _STAGE * len(residues)
    shapes = [
        *_zone(zone_low, zone_high, 20, bottom),
        _zone_label(zone_low, zone_high, objective),
        *_axis(bottom),
    ]
    for number, residue in enumerate(residues):
        shapes += _stage(residue, _TOP + number * _STAGE)
    wanted = _zone_words(zone_low, zone_high)
    bands = [f"{_stage_words(each)} {written_band(each.cn)}" for each in residues]
    return Picture(
        key=key,
        title="Carbon to nitrogen of the residue",
        description=f"{'. '.join(bands)}. {objective} wants {wanted}. The microbes' own diet is about 24.",
        height=bottom + 34,
        shapes=shapes,
        table=Table(
            ["Stage", "Lowest", "Likely", "Highest", "Wanted"],
            [
                [
                    _stage_words(each),
                    *(written(value) for value in (each.cn.low, each.cn.likely, each.cn.high)),
                    wanted,
                ]
                for each in residues
            ],
        ),
        said=[f"C:N {each.label} is not known." for each in residues if not each.cn.is_known],
    )


def small_cn_picture(key, residue, zone_low, zone_high, objective):
    """One stage alone, for a row of a comparison: the band, the zone and nothing written but 24."""
    top, bottom, right = 4, 26, _SMALL - _LEFT
    diet = place(MICROBES_DIET, right)
    shapes = [
        *_zone(zone_low, zone_high, top, bottom, right),
        line(_LEFT, bottom, right, bottom, "p-axis"),
        line(diet, top, diet, bottom, "p-mark"),
        label(diet, bottom + 13, "24", "p-text p-faint", "middle"),
        *_band(residue.cn, (top + bottom) / 2, right),
    ]
    return Picture(
        key=key,
        title=f"C:N {residue.label}",
        description=f"{written_band(residue.cn)}. {objective} wants {_zone_words(zone_low, zone_high)}.",
        height=bottom + 18,
        shapes=shapes,
        table=Table([], []),
        width=_SMALL,
    )


def _zone(low, high, top, bottom, right=_RIGHT):
    start = _LEFT if low is None else place(low, right)
    end = right if high is None else place(high, right)
    edges = [x for x, is_drawn in ((start, low is not None), (end, high is not None)) if is_drawn]
    return [
        rect(start, top, end - start, bottom - top, "p-zone"),
        *(line(x, top, x, bottom, "p-zone-edge") for x in edges),
    ]


def _zone_label(low, high, objective):
    """Over the zone's open or nearer end, so that it stays inside the picture."""
    words = f"{objective}: {_zone_words(low, high)}"
    if low is None:
        return label(_LEFT, 13, words, "p-text p-strong")
    if high is None:
        return label(_RIGHT, 13, words, "p-text p-strong", "end")
    return label((place(low) + place(high)) / 2, 13, words, "p-text p-strong", "middle")


def _zone_words(low, high):
    if low is None and high is None:
        return "any C:N"
    if low is None:
        return f"below {high:g}"
    if high is None:
        return f"above {low:g}"
    return f"{low:g} to {high:g}"


def _axis(bottom):
    found = [line(_LEFT, bottom, _RIGHT, bottom, "p-axis")]
    for tick in _TICKS:
        anchor = {LOW: "start", HIGH: "end"}.get(tick, "middle")
        x = place(tick)
        found.append(line(x, bottom, x, bottom + 4, "p-axis"))
        if tick not in (15, 20, 30):
            found.append(label(x, bottom + 17, str(tick), "p-text p-faint", anchor))
    diet = place(MICROBES_DIET)
    found.append(line(diet, 20, diet, bottom + 4, "p-mark"))
    found.append(label(diet, bottom + 17, "24", "p-text p-strong", "middle"))
    found.append(label(diet, bottom + 30, "microbes’ diet", "p-text p-faint", "middle"))
    return found


def _stage_words(residue):
    return residue.label[:1].upper() + residue.label[1:]


def _stage(residue, top):
    return [
        label(_LEFT, top, f"{_stage_words(residue)}: {written_band(residue.cn)}", "p-text p-onpaper"),
        *_band(residue.cn, top + 15),
    ]


def _band(cn, middle, right=_RIGHT):
    if not cn.is_known:
        return []
    low = place(cn.likely if cn.low is None else cn.low, right)
    high = place(cn.likely if cn.high is None else cn.high, right)
    return [
        rect(low, middle - 5, max(high - low, 1), 10, "p-band"),
        diamonds([(place(cn.likely, right), middle)], 6, "p-likely"),
    ]
