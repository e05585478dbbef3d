"""How the figures of the rates came about: seeds on a square foot, shares of the full rate, cost."""

from blends.calc.seed import seeds_per_sqft, share_of_full_rate
from blends.queries.blends import FULL_RATE
from blends.queries.judgement.parts import fact_of, value_of
from blends.queries.judgement.shapes import Cell, Working
from blends.queries.judgement.words import number
from plots.calc.described import DEFINITION, PRACTICE, Source

MIDDLE = Source("The full rate is taken as the middle of its range", basis=PRACTICE, note="Our choice.")


def rate_workings(figures, method, with_costs):
    """Workings of a blend's rates by a method.

    Parameters
    ----------
    figures : BlendFigures
    method : str
    with_costs : bool

    Returns
    -------
    list of Working
    """
    totals = getattr(figures, method)
    found = [_seeds(figures.rows, method, totals), _shares(figures.rows, method, totals)]
    return [*found, _cost(figures, method, totals)] if with_costs and not figures.is_bought else found


def _seeds(rows, method, totals):
    return Working(
        key="seeds-per-sqft",
        title="Live seeds on a square foot",
        formula=_formula(seeds_per_sqft, "PLS lb/ac × seeds per lb ÷ 43,560"),
        result=_said(totals.seeds_per_sqft, "seeds/ft²", 1),
        columns=["PLS lb/ac", "Seeds per pound", "Seeds/ft²", "Share by seed count"],
        rows=[
            (
                str(row.species),
                [
                    Cell(rate.pls_lb_per_acre, 2),
                    Cell(value_of(row, "seeds_per_lb"), 0, fact_of(row, "seeds_per_lb")),
                    Cell(rate.seeds_per_sqft, 1),
                    Cell(rate.share_by_seed_count, 2),
                ],
            )
            for row, rate in _pairs(rows, method)
        ],
        sources=[DEFINITION],
    )


def _shares(rows, method, totals):
    low, high = FULL_RATE[method]
    share = totals.share_of_full_rate
    return Working(
        key="share-of-full-rate",
        title="Sum of the shares of full rates",
        formula=_formula(share_of_full_rate, "PLS lb/ac ÷ full rate of the species alone"),
        result=_said(None if share is None else 100 * share, "%", 0),
        columns=["PLS lb/ac", "Full rate, low", "Full rate, high", "Share of full rate", "Share by weight"],
        rows=[
            (
                str(row.species),
                [
                    Cell(rate.pls_lb_per_acre, 2),
                    Cell(value_of(row, low), 1, fact_of(row, low)),
                    Cell(value_of(row, high), 1, fact_of(row, high)),
                    Cell(rate.share_of_full_rate, 2),
                    Cell(rate.share_by_weight, 2),
                ],
            )
            for row, rate in _pairs(rows, method)
        ],
        sources=[MIDDLE],
        notes=["About 100 % is a full stand. By weight and by seed count the shares are other numbers."],
    )


def _cost(figures, method, totals):
    return Working(
        key="cost",
        title="Seed cost",
        formula="PLS lb/ac × price of a PLS pound, to the cent for each species, then added",
        result=_said(totals.cost_usd_per_acre, "USD/ac", 2),
        columns=["PLS lb/ac", "USD per PLS lb", "USD/ac"],
        rows=[
            (
                str(row.species),
                [
                    Cell(rate.pls_lb_per_acre, 2),
                    Cell(row.price and row.price.usd_per_lb, 2),
                    Cell(rate.cost_usd_per_acre, 2),
                ],
            )
            for row, rate in _pairs(figures.rows, method)
        ],
        sources=[DEFINITION],
        notes=figures.notes,
    )


def _pairs(rows, method):
    return [(row, getattr(row, method)) for row in rows]


def _formula(function, words):
    """The formula of a function's own description."""
    described = getattr(function, "calculation", None)
    return described.formula if described else words


def _said(value, unit, decimals):
    return "not known" if value is None else f"{number(value, decimals)} {unit}"
