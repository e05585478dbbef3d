"""How a picture's bands become red, green and blue. With rasterio: only in the process of `child`."""

from dataclasses import dataclass, field

import numpy as np
from rasterio.enums import ColorInterp
from rasterio.windows import Window

from plots.pictures.model import UnusablePicture

_INK = {ColorInterp.cyan, ColorInterp.magenta, ColorInterp.yellow, ColorInterp.black}
_SAMPLES_ACROSS, _SAMPLE_PIXELS = 8, 128
# The darkest and lightest hundredths are often noise, glare or shadow. Common practice, no source.
_DARK_PCT, _LIGHT_PCT = 1, 99


@dataclass
class Colours:
    """`bands` are those to read; `palette` is (n, 4) of colours by value; `is_stretched` where values are not 0 to 255."""

    words: str
    bands: list
    palette: np.ndarray | None = None
    is_stretched: bool = False
    _ends: tuple = field(default=(0.0, 255.0))

    def look_at(self, source):
        """Find the values that become black and white, from samples all over the picture."""
        if not self.is_stretched:
            return
        side = min(_SAMPLE_PIXELS, source.width, source.height)
        columns = np.linspace(0, source.width - side, _SAMPLES_ACROSS).astype(int)
        rows = np.linspace(0, source.height - side, _SAMPLES_ACROSS).astype(int)
        values = []
        for row in sorted(set(rows.tolist())):
            for column in sorted(set(columns.tolist())):
                found = source.read(self.bands, window=Window(column, row, side, side), masked=True)
                found = found.compressed()
                values.append(found[np.isfinite(found)])
        values = np.concatenate(values).astype(float)
        if not values.size:
            return
        dark, light = np.percentile(values, [_DARK_PCT, _LIGHT_PCT])
        self._ends = (dark, light if light > dark else dark + 1)

    def to_rgb(self, data):
        """Red, green and blue, uint8.

        Parameters
        ----------
        data : ndarray, shape (bands, rows, columns)

        Returns
        -------
        rgb : ndarray of uint8, shape (3, rows, columns)
        alpha : ndarray of uint8, shape (rows, columns), or None
            Of a palette's own colours that let through.
        """
        if self.palette is not None:
            found = self.palette[np.clip(data[0], 0, len(self.palette) - 1)]
            return np.moveaxis(found[..., :3], -1, 0), found[..., 3]
        if self.is_stretched:
            dark, light = self._ends
            scaled = (data.astype(np.float32) - dark) * (255 / (light - dark))
            data = np.clip(np.nan_to_num(scaled), 0, 255).astype(np.uint8)
        return (np.repeat(data, 3, axis=0) if len(data) == 1 else data), None


def colours_of(source, notes):
    """The Colours of an open picture; says in `notes` what is left out.

    Raises
    ------
    UnusablePicture
    """
    kinds = {np.dtype(each) for each in source.dtypes}
    kind = next(iter(kinds))
    if len(kinds) > 1 or kind.kind not in "uif":
        raise UnusablePicture(
            f"The picture's bands hold {', '.join(sorted(map(str, kinds)))}; whole or decimal numbers of one kind are accepted."
        )
    meant = dict(enumerate(source.colorinterp, start=1))
    if set(meant.values()) & _INK:
        raise UnusablePicture(
            "The picture is made of printing inks (CMYK); save it again in red, green and blue."
        )
    light = [band for band, what in meant.items() if what != ColorInterp.alpha]
    if not light:
        raise UnusablePicture("The picture has no colours, only what is see-through.")
    if meant[light[0]] == ColorInterp.palette and kind.kind == "u":
        return Colours("colours of a palette", [light[0]], palette=_palette(source, light[0]))
    by_name = {what: band for band, what in reversed(meant.items())}
    named = [by_name.get(each) for each in (ColorInterp.red, ColorInterp.green, ColorInterp.blue)]
    if all(named):
        bands, words = named, "red, green and blue"
    elif len(light) >= 3:
        bands, words = light[:3], "its first three bands as red, green and blue"
    else:
        bands, words = light[:1], "shades of grey"
    left = len(light) - len(bands)
    if left:
        notes.append(f"{left} more band{'s are' if left > 1 else ' is'} left out, such as near infrared.")
    is_stretched = kind != np.uint8
    if is_stretched:
        notes.append(
            "Its values are stretched between the darkest and the lightest hundredth of the picture."
        )
    return Colours(words, bands, is_stretched=is_stretched)


def _palette(source, band):
    try:
        listed = source.colormap(band)
    except ValueError as error:
        raise UnusablePicture(
            "The picture's palette cannot be read; save it again in red, green and blue."
        ) from error
    palette = np.zeros((max(listed) + 1, 4), dtype=np.uint8)
    for value, colour in listed.items():
        palette[value] = colour
    return palette
