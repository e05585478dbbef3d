"""What a pack costs, however its price is quoted, and what it costs when many are bought."""

from decimal import ROUND_HALF_UP, Decimal

_CENT = Decimal("0.01")
QUOTED_PER = ("pack", "bulk_lb", "pls_lb")


def live_share(purity_pct, germination_pct, hard_pct=None, dormant_pct=None):
    """Pure live fraction of a tag, exact: money is multiplied by it.

    Parameters
    ----------
    purity_pct, germination_pct, hard_pct, dormant_pct : Decimal or None
        As on the tag. [%]

    Returns
    -------
    Decimal or None
        [-]; None where purity or germination is not known. Hard or dormant seed that is left out is none.

    References
    ----------
    The same definition as `blends.calc.seed.pure_live_fraction`.

    Examples
    --------
    >>> live_share(Decimal(98), Decimal(80), Decimal(10))
    Decimal('0.882')
    >>> live_share(Decimal(98), None) is None
    True
    """
    if purity_pct is None or germination_pct is None:
        return None
    return Decimal(purity_pct) * (Decimal(germination_pct) + (hard_pct or 0) + (dormant_pct or 0)) / 10_000


def pack_price_usd(quoted_per, quoted_usd, pack_lb, live_fraction=None):
    """The price of one pack, rounded once.

    Parameters
    ----------
    quoted_per : {"pack", "bulk_lb", "pls_lb"}
    quoted_usd : Decimal
        [USD, USD/lb bulk or USD/lb PLS]
    pack_lb : Decimal
        [lb bulk]
    live_fraction : Decimal or None
        Pure live fraction of the tag, for a price by the PLS pound. [-]

    Returns
    -------
    Decimal
        [USD], two decimals.

    Raises
    ------
    ValueError
        Another quoting; a price below 0; a pack of 0 lb or less; a price by the PLS pound without a tag.

    References
    ----------
    By definition.

    Examples
    --------
    >>> pack_price_usd("pls_lb", Decimal("0.50"), Decimal(50), Decimal("0.882"))
    Decimal('22.05')
    >>> pack_price_usd("bulk_lb", Decimal("0.4450"), Decimal(25))
    Decimal('11.13')
    """
    if quoted_per not in QUOTED_PER:
        raise ValueError(f"price is per “{quoted_per}”; accepted are {', '.join(QUOTED_PER)}")
    if quoted_usd < 0:
        raise ValueError(f"price is {quoted_usd} USD; accepted is 0 or more")
    if pack_lb <= 0:
        raise ValueError(f"pack is {pack_lb} lb; accepted is more than 0")
    if quoted_per == "pls_lb" and live_fraction is None:
        raise ValueError("pure live fraction is not known; a price by the PLS pound needs it")
    lb = {"pack": 1, "bulk_lb": pack_lb, "pls_lb": pack_lb * (live_fraction or 0)}[quoted_per]
    return (quoted_usd * lb).quantize(_CENT, ROUND_HALF_UP)


def price_for_packs(packs, price_usd, breaks=()):
    """What each of so many packs costs: all of them at the price of the highest break that is reached.

    Parameters
    ----------
    packs : int
    price_usd : Decimal
        Below the first break. [USD]
    breaks : iterable of (int, Decimal)
        From so many packs, the price of each. [USD]

    Returns
    -------
    Decimal
        [USD]

    Examples
    --------
    >>> breaks = [(10, Decimal("20.50")), (40, Decimal("19.00"))]
    >>> [str(price_for_packs(n, Decimal("22.00"), breaks)) for n in (9, 10, 39, 40)]
    ['22.00', '20.50', '20.50', '19.00']
    """
    reached = [(from_packs, usd) for from_packs, usd in breaks if from_packs <= packs]
    return max(reached)[1] if reached else price_usd


def what_is_wrong_with_breaks(price, breaks):
    """A sentence for each break that cannot be meant.

    Parameters
    ----------
    price : Decimal or None
        As quoted; None where it is not known, and then prices are only held against each other.
    breaks : sequence of (int, Decimal)
        In the order in which they were given. Quoted as the price is.

    Returns
    -------
    list of (int, str)
        The position of the break and what is wrong: numbers have to rise, prices to fall.

    Examples
    --------
    >>> what_is_wrong_with_breaks(Decimal(22), [(10, Decimal(21)), (10, Decimal(23))])[0]
    (1, 'From 10 packs comes after from 10 packs; accepted are numbers that rise.')
    >>> what_is_wrong_with_breaks(Decimal(22), [(10, Decimal(21)), (40, Decimal(20))])
    []
    """
    found = []
    before_packs, before_usd = 1, price
    for position, (from_packs, usd) in enumerate(breaks):
        if from_packs < 2:
            found.append((position, f"From {from_packs} packs; accepted is 2 or more."))
        elif from_packs <= before_packs:
            found.append(
                (
                    position,
                    f"From {from_packs} packs comes after from {before_packs} packs; accepted are numbers that rise.",
                )
            )
        if usd < 0:
            found.append((position, f"{usd} USD; accepted is 0 or more."))
        elif before_usd is not None and usd >= before_usd:
            found.append(
                (
                    position,
                    f"{usd} USD from {from_packs} packs is not less than {before_usd} USD before; accepted is less.",
                )
            )
        before_packs, before_usd = max(before_packs, from_packs), usd
    return found
