"""A blend, typed or stored, scaled to a budget or to full rates. Nothing is stored."""

from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from blends.calc.scaling import decimals_of, factor_to_budget, factor_to_full_rates, scaled_rates
from blends.models import Planting
from config.errors import Refused


@dataclass(frozen=True)
class Scaled:
    """New rates by one method.

    Attributes
    ----------
    method : str
    bag_lb_per_acre : Decimal or None
        Of a bought mix.
    by_species : dict of int to Decimal
        PLS lb/ac of a blend mixed here.
    sentence : str
        What was done, and how it was rounded.
    """

    method: str
    bag_lb_per_acre: Decimal | None
    by_species: dict
    sentence: str


def scaled_to_budget(figures, method, usd_per_acre):
    """The blend at a seed cost an acre.

    Parameters
    ----------
    figures : BlendFigures
        With costs.
    method : str
    usd_per_acre : Decimal

    Raises
    ------
    Refused
        A rate or a price that is not known, or a budget that buys nothing.
    """
    _refuse_missing(figures, method, _unpriced(figures))
    rates, prices = _rates(figures, method), _prices(figures)
    factor = _or_refused(factor_to_budget, rates, prices, float(usd_per_acre))
    said = f"to ${usd_per_acre:.2f} of seed an acre"
    return _scaled(figures, method, rates, factor, is_down=True, said=said)


def scaled_to_full_rates(figures, method):
    """The blend at 100 % of full rates.

    Raises
    ------
    Refused
        A rate or a full rate that is not known.
    """
    unknown = [
        f"{row.species} has no full rate {method}."
        for row in figures.rows
        if getattr(row, method).pls_lb_per_acre is not None
        and getattr(row, method).share_of_full_rate is None
    ]
    _refuse_missing(figures, method, unknown)
    shares = [getattr(row, method).share_of_full_rate for row in figures.rows]
    factor = _or_refused(factor_to_full_rates, shares)
    said = "to 100 % of full rates"
    return _scaled(figures, method, _rates(figures, method), factor, is_down=False, said=said)


def _rates(figures, method):
    if figures.is_bought:
        return [getattr(figures, method).bulk_lb_per_acre]
    return [getattr(row, method).pls_lb_per_acre for row in figures.rows]


def _prices(figures):
    priced = [figures.price] if figures.is_bought else [row.price for row in figures.rows]
    return [price.usd_per_lb for price in priced]


def _unpriced(figures):
    if figures.is_bought:
        return [] if figures.price else ["There is no offer for this mix."]
    return [f"{row.species} has no offer." for row in figures.rows if row.price is None]


def _refuse_missing(figures, method, more):
    label = Planting.Method(method).label.lower()
    if not figures.rows:
        raise Refused("The blend has no components yet, so there is nothing to scale.")
    if figures.is_bought:
        is_rated = getattr(figures, method).bulk_lb_per_acre is not None
        missing = [] if is_rated else [f"The bag has no {label} rate."]
    else:
        missing = [
            f"{row.species} has no {label} rate."
            for row in figures.rows
            if getattr(row, method).pls_lb_per_acre is None
        ]
    missing += more
    if missing:
        raise Refused(f"The blend cannot be scaled yet: {' '.join(missing)}")


def _or_refused(calculation, *given, **options):
    try:
        return calculation(*given, **options)
    except ValueError as error:
        raise Refused(str(error)) from error


def _scaled(figures, method, rates, factor, is_down, said):
    if np.isnan(factor):
        raise Refused("The blend cannot be scaled yet: a share on the tag is not known.")
    found = _or_refused(scaled_rates, rates, factor, is_down=is_down)
    new = [Decimal(f"{rate:.{decimals_of(rate)}f}") for rate in found]
    way = "down" if is_down else "to the nearest"
    what = "The bag’s rate" if figures.is_bought else "Rates"
    sentence = (
        f"{what}, {Planting.Method(method).label.lower()}, scaled {said}: times {factor:.3g}, rounded {way} "
        "(0.01 lb; 0.001 below 1 lb)."
    )
    if figures.is_bought:
        return Scaled(method, new[0], {}, sentence)
    return Scaled(
        method, None, {row.species.pk: rate for row, rate in zip(figures.rows, new, strict=True)}, sentence
    )
