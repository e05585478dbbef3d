"""What reading a picture gives, and why it cannot."""

import math


class UnusablePicture(Exception):
    """A picture that cannot be used as it is. `needs` is 'crs' or 'world' where a person could add what is missing.

    `extent` is (west, south, east, north) in the picture's own units, where they are known.
    """

    def __init__(self, sentence, *, needs=None, extent=None):
        super().__init__(sentence)
        self.sentence, self.needs, self.extent = sentence, needs, extent


def world_file_numbers(text):
    """The affine transform of a world file: (a, b, c, d, e, f) with x = a·column + b·row + c.

    A world file has six lines, A, D, B, E, C and F, and says where the *middle* of the first pixel lies; the
    transform given back counts from its outer corner. (Common practice; the lines are those of every GIS.)

    Parameters
    ----------
    text : str

    Returns
    -------
    tuple of float

    Raises
    ------
    ValueError
        With the sentence for a person.
    """
    lines = text.replace("\ufeff", "").split()
    try:
        numbers = [float(each.replace(",", ".")) for each in lines]
    except ValueError as error:
        raise ValueError(
            "The world file has text in it; six lines with a number each are accepted."
        ) from error
    if len(numbers) != 6:
        raise ValueError(f"The world file has {len(numbers)} numbers; six are accepted.")
    a, d, b, e, c, f = numbers
    if not all(map(math.isfinite, numbers)) or a * e - b * d == 0:
        raise ValueError(
            "The world file gives a pixel no size; its lines 1 and 4 are the pixel's width and height."
        )
    return a, b, c - (a + b) / 2, d, e, f - (d + e) / 2
