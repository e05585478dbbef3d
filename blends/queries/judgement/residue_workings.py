"""How the figures of the residue came about."""

from blends.calc.nitrogen import (
    BLIND_TO_CN,
    NO_RECOMMENDATION,
    NORTH_DAKOTA,
    OTHER_EXTENSION,
    PNW_636,
    SANTA_CRUZ,
    plant_available_nitrogen,
    residue_nitrogen_lb_per_acre,
)
from blends.calc.residue import CN_SOURCES, STAND, residue_cn_ratio
from blends.queries.judgement.parts import fact_of, known, value_of
from blends.queries.judgement.shapes import Cell, Working
from blends.queries.judgement.words import band_words, range_words, working

_BY_SHARES = (
    "share of the full rate × dry matter of the species alone, from low to high; likely is the middle"
)
_BY_CLIPPING = "dry weight in g × 96.033 ÷ ground clipped in ft²"

_ONE_FIGURE = "What was clipped counts as one figure: how far its frames differ is not recorded."


def workings(parts, dry_matter, cn, nitrogen, available):
    """Of dry matter, C:N, nitrogen and available nitrogen at one stage; a list of Working."""
    stage, words = parts.stage, parts.words
    return [
        _dry_matter(parts, dry_matter),
        working(
            f"cn-{stage}",
            f"C:N {words}",
            residue_cn_ratio,
            band_words(cn, decimals=1),
            ["Dry matter, lb/ac", "Carbon, %", "Nitrogen, %", "C:N"],
            [
                (
                    str(row.species),
                    [
                        Cell(known(mass), 0),
                        Cell(known(carbon), 1),
                        Cell(known(content), 2, fact_of(row, parts.nitrogen_column)),
                        Cell(known(ratio), 1, fact_of(row, parts.cn_column)),
                    ],
                )
                for row, mass, carbon, content, ratio in zip(
                    parts.rows,
                    parts.masses.likely,
                    parts.carbon_pct,
                    parts.nitrogen_pct,
                    parts.cn,
                    strict=True,
                )
            ],
            sources=CN_SOURCES,
            notes=[
                "Low and high are the least and the greatest that any dry matter within the ranges gives. How far a "
                "species' own C:N varies with its age and soil is not in them.",
                "Carbon is nitrogen % × C:N where both are known, else 42 %. Nitrogen that is not known is taken "
                "from the C:N, and the other way round.",
            ],
        ),
        working(
            f"nitrogen-{stage}",
            f"Nitrogen in the residue {words}",
            residue_nitrogen_lb_per_acre,
            band_words(nitrogen, "lb/ac"),
            ["Dry matter, low, lb/ac", "likely", "high", "Nitrogen, %"],
            [
                (
                    str(row.species),
                    [
                        *(Cell(known(mass), 0) for mass in (low, likely, high)),
                        Cell(known(content), 2, fact_of(row, parts.nitrogen_column)),
                    ],
                )
                for row, low, likely, high, content in zip(
                    parts.rows, *parts.masses, parts.nitrogen_pct, strict=True
                )
            ],
        ),
        Working(
            key=f"available-{stage}",
            title=f"Nitrogen for the next crop {words}",
            formula="nitrogen in the residue × published part; by its content: "
            + plant_available_nitrogen.calculation.formula,
            result=_by_all_ways(available),
            columns=["Least, lb/ac", "Most, lb/ac"],
            rows=[
                (
                    f"{way.label} ({way.source.publisher or way.source.title})",
                    [Cell(way.low, 0), Cell(way.high, 0)],
                )
                for way in available
            ],
            sources=[SANTA_CRUZ, NORTH_DAKOTA, OTHER_EXTENSION, PNW_636],
            notes=[NO_RECOMMENDATION, BLIND_TO_CN, *(f"{way.label}: {way.limits}" for way in available)],
        ),
    ]


def _dry_matter(parts, dry_matter):
    is_clipped = parts.is_clipped
    rows = []
    for row, share, scaled, low, likely, high in zip(
        parts.rows, parts.shares, parts.scaled, *parts.masses, strict=True
    ):
        own = parts.clipped.get(row.species.pk)
        rows.append(
            (
                f"{row.species}, {own.words}" if own else str(row.species),
                [
                    Cell(known(share), 2),
                    Cell(known(scaled), 2),
                    *(
                        Cell(value_of(row, name), 0, fact_of(row, name))
                        for name in ("dry_matter_lb_ac_low", "dry_matter_lb_ac_high")
                    ),
                    *(Cell(known(mass), 0) for mass in (low, likely, high)),
                ],
            )
        )
    ways = [_BY_CLIPPING] * bool(is_clipped.any()) + [_BY_SHARES] * (not is_clipped.all() or not len(rows))
    return Working(
        key=f"dry-matter-{parts.stage}",
        title=f"Dry matter {parts.words}",
        formula="; else ".join(ways),
        result=band_words(dry_matter, "lb/ac"),
        columns=[
            "Share of full rate",
            "scaled",
            "Alone, low, lb/ac",
            "high",
            "Here, low, lb/ac",
            "likely",
            "high",
        ],
        rows=rows,
        sources=[STAND] if not is_clipped.all() else [],
        notes=["Above ground, without roots.", *[_ONE_FIGURE] * bool(is_clipped.any())],
    )


def _by_all_ways(available):
    lows, highs = [way.low for way in available], [way.high for way in available]
    if None in lows:
        return "not known"
    return f"{range_words(min(lows), max(highs))} lb/ac over {len(available)} published ways"
