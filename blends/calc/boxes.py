"""In which box of a drill a species goes while nobody has said so."""

MAIN, SMALL = "main", "small"
"""As blends.models.Box has them."""

SMALL_SEEDS_PER_LB = 100_000
"""From this many seeds a pound on it is small seed: clovers, alfalfa, brassicas, chicory. Common practice, no source."""

CHAFFY_LB_PER_BU = 30
"""Seed lighter than this is long or chaffy, such as annual ryegrass, and bridges over the outlets of a small-seed box.
Common practice, no source."""

WORDS = (
    "Seed of 100,000 a pound or more goes in the small-seed box, unless a bushel of it weighs less than 30 lb, since "
    "light seed bridges there. Common practice, no source; the drill's own manual and your choice go before."
)


def default_box(seeds_per_lb, lb_per_bu=None, has_small_box=True):
    """The box for a species: the small-seed box for small seed that runs, where the machine has one.

    Parameters
    ----------
    seeds_per_lb : float or None
        Unknown: the main box.
    lb_per_bu : float or None
        Unknown: taken to run.
    has_small_box : bool

    Returns
    -------
    str
        MAIN or SMALL.

    Examples
    --------
    >>> default_box(272_160, 60), default_box(18_160, 56), default_box(217_000, 24), default_box(None)
    ('small', 'main', 'main', 'main')
    >>> default_box(272_160, 60, has_small_box=False)
    'main'
    """
    if not has_small_box or seeds_per_lb is None or seeds_per_lb < SMALL_SEEDS_PER_LB:
        return MAIN
    return MAIN if lb_per_bu is not None and lb_per_bu < CHAFFY_LB_PER_BU else SMALL
