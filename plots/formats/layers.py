"""The choice of one polygon layer among several."""

from plots.formats.attributes import quoted
from plots.formats.model import UnusableFile
from plots.formats.source import counted


def chosen_layer(counts, asked):
    """The name of the layer to read.

    Parameters
    ----------
    counts : dict of str to int
        Features in each polygon layer.
    asked : str or None

    Raises
    ------
    UnusableFile
        With `needs` 'layer': there are several and none was named, or there is no layer of that name.
    """
    listed = "; ".join(f"{quoted(name)}, {counted(count, 'feature')}" for name, count in counts.items())
    if asked is None and len(counts) == 1:
        return next(iter(counts))
    if asked in counts:
        return asked
    if asked is None:
        sentence = f"The file has {len(counts)} polygon layers; choose one of them: {listed}."
    else:
        sentence = f"The file has no polygon layer called {quoted(asked)}; it has {listed}."
    raise UnusableFile(sentence, needs="layer", layers=counts)
