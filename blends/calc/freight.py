"""What it costs to bring seed, as a supplier states it. What nobody has stated is unknown, never free."""

from decimal import ROUND_HALF_UP, Decimal

_CENT = Decimal("0.01")
KINDS = ("", "none", "flat", "weight", "value")


def freight_usd(kind, goods_usd, lb, *, charge_usd=None, usd_per_lb=None, pct=None, free_from_usd=None):
    """The freight of one delivery from one supplier, rounded once.

    Parameters
    ----------
    kind : str
        "" not known, "none" delivered free, "flat" one charge an order, "weight" by the pound, "value" by the
        value of the goods.
    goods_usd : Decimal or None
        What the goods cost. [USD]
    lb : Decimal, float, int or None
        What they weigh. [lb bulk]
    charge_usd : Decimal or None
        The charge of "flat"; of "weight" and "value" the least that is charged, None where there is no least. [USD]
    usd_per_lb : Decimal or None
        [USD/lb]
    pct : Decimal or None
        Of the goods' value. [%]
    free_from_usd : Decimal or None
        Goods of this value or more come free; None where they never do. [USD]

    Returns
    -------
    Decimal or None
        [USD], two decimals; 0 where nothing is bought, whoever sells it; None where a figure that it hangs on is
        not known.

    Raises
    ------
    ValueError
        Another kind; a figure below 0.

    References
    ----------
    By definition.

    Examples
    --------
    >>> freight_usd("flat", Decimal("88.00"), 200, charge_usd=Decimal(45))
    Decimal('45.00')
    >>> freight_usd("weight", Decimal("88.00"), 200, usd_per_lb=Decimal("0.085"), charge_usd=Decimal(25))
    Decimal('25.00')
    >>> freight_usd("value", Decimal("1250.00"), 900, pct=Decimal("6.5"), free_from_usd=Decimal(1250))
    Decimal('0.00')
    >>> freight_usd("", Decimal("88.00"), 200) is None, freight_usd("", Decimal(0), 0)
    (True, Decimal('0.00'))
    """
    if kind not in KINDS:
        raise ValueError(f"freight is “{kind}”; accepted are {', '.join(map(repr, KINDS))}")
    goods_usd, lb = _figure("goods", goods_usd), _figure("weight", lb)
    charge_usd, usd_per_lb = _figure("charge", charge_usd), _figure("charge a pound", usd_per_lb)
    pct, free_from_usd = _figure("percentage", pct), _figure("value from which it is free", free_from_usd)
    if lb == 0 or (lb is None and goods_usd == 0) or kind == "none":
        return Decimal("0.00")
    if kind == "":
        return None
    if free_from_usd is not None:
        if goods_usd is None:
            return None
        if goods_usd >= free_from_usd:
            return Decimal("0.00")
    return _charged(kind, goods_usd, lb, charge_usd, usd_per_lb, pct)


def _charged(kind, goods_usd, lb, charge_usd, usd_per_lb, pct):
    if kind == "flat":
        by_measure = charge_usd
    elif kind == "weight":
        by_measure = _product(lb, usd_per_lb)
    else:
        by_measure = _product(goods_usd, None if pct is None else pct / 100)
    if by_measure is None:
        return None
    return max(by_measure, charge_usd or Decimal(0)).quantize(_CENT, ROUND_HALF_UP)


def _product(amount, each):
    return None if amount is None or each is None else amount * each


def _figure(what, value):
    if value is None:
        return None
    value = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if not value.is_finite() or value < 0:
        raise ValueError(f"{what} is {value}; accepted is 0 or more")
    return value
