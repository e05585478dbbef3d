"""The freight of a delivery shared among its lots, to the cent."""

from blends.calc.money import split_by_largest_remainder

BY_POUNDS, BY_VALUE = "pounds", "value"


def shared_freight(freight_usd, pounds_lb, goods_usd, kind=""):
    """Each lot's share of a delivery's freight.

    By the pounds, whose weight is what is carried; by the value of the goods where the supplier charges by it and
    the value of every lot is known.

    Parameters
    ----------
    freight_usd : Decimal or None
        Whole cents. [USD]
    pounds_lb : sequence of Decimal
        Of the lots, each above 0. [bulk lb]
    goods_usd : sequence of Decimal or None
        What the lots cost without freight; None where it is not known. [USD]
    kind : str
        The supplier's way to charge freight, as `calc.freight` has it.

    Returns
    -------
    (list of Decimal or None, str)
        The shares, which add up to the freight exactly, and what they go by; None for each while the freight is not
        known.

    Raises
    ------
    ValueError
        A freight below 0 or with part of a cent; no lot to bear it.

    References
    ----------
    Largest remainder, as in `calc.money`. That freight goes by weight where nobody states otherwise is common
    practice, no source.

    Examples
    --------
    >>> from decimal import Decimal
    >>> shares, by = shared_freight(Decimal("10.00"), [50, 50, 50], [None, None, None])
    >>> [str(each) for each in shares], by
    (['3.34', '3.33', '3.33'], 'pounds')
    >>> shared_freight(Decimal("9.00"), [50, 50], [Decimal(20), Decimal(10)], "value")[0]
    [Decimal('6.00'), Decimal('3.00')]
    >>> shared_freight(None, [50], [None]), shared_freight(Decimal(0), [], [])
    (([None], 'pounds'), ([], 'pounds'))
    """
    if freight_usd is not None and freight_usd < 0:
        raise ValueError(f"freight is {freight_usd} USD; accepted is 0 or more")
    is_by_value = kind == "value" and None not in goods_usd and sum(goods_usd) > 0
    weights, by = (goods_usd, BY_VALUE) if is_by_value else (pounds_lb, BY_POUNDS)
    if freight_usd is None:
        return [None for _ in pounds_lb], by
    return split_by_largest_remainder(freight_usd, [float(weight) for weight in weights]), by
