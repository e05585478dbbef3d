"""What a season sows: acres, rate and pounds of each blend by each method."""

from dataclasses import dataclass

from django.db.models import Count, Q, Sum

from blends.models import Blend, Component, Planting
from blends.queries.order_inputs import COUNTED, PLANTED_OR_MAPPED_ACRES


@dataclass(frozen=True)
class Sowing:
    """A blend sown by one method in a season.

    Attributes
    ----------
    blend : Blend
    method : str
        Planting.Method.
    plots : int
    acres : float or None
        None while the acres of one of the plots are unknown. [acres]
    lb_per_acre : float or None
        PLS of a blend mixed here, bulk of one bought mixed; None while a rate is missing. [lb/ac]
    """

    blend: Blend
    method: str
    plots: int
    acres: float | None
    lb_per_acre: float | None

    @property
    def method_label(self):
        return Planting.Method(self.method).label

    @property
    def seed_lb(self):
        """Pounds of the same kind as the rate; None while either is unknown."""
        return None if None in (self.acres, self.lb_per_acre) else self.acres * self.lb_per_acre


def sowings(season):
    """The season's Sowing rows, by blend; three queries."""
    groups = list(
        Planting.objects.filter(COUNTED, season=season)
        .values("blend_id", "method")
        .annotate(plots=Count("pk"), acres=Sum(PLANTED_OR_MAPPED_ACRES), known=Count(PLANTED_OR_MAPPED_ACRES))
    )
    blends = Blend.objects.in_bulk({group["blend_id"] for group in groups})
    lb_per_acre = rates_lb_per_acre(blends.values())
    rows = []
    for group in groups:
        blend, method = blends[group["blend_id"]], group["method"]
        acres = group["acres"] if group["known"] == group["plots"] else None
        rows.append(Sowing(blend, method, group["plots"], acres, lb_per_acre[blend.pk, method]))
    return sorted(rows, key=lambda row: (str(row.blend).casefold(), row.method))


def rates_lb_per_acre(blends):
    """{(blend id, method): lb/ac} by every method: PLS of blends mixed here, bulk of those bought mixed; one query.

    None while a rate is missing.
    """
    blends = {blend.pk: blend for blend in blends}
    pls_lb_per_acre = _pls_lb_per_acre(blends)
    rates = {
        (pk, method): getattr(blend, f"{method}_bulk_lb_per_acre")
        if blend.is_bought
        else pls_lb_per_acre.get((pk, method))
        for pk, blend in blends.items()
        for method in Planting.Method.values
    }
    return {key: None if rate is None else float(rate) for key, rate in rates.items()}


def _pls_lb_per_acre(blend_ids):
    """{(blend id, method): PLS lb/ac}; a blend with a component without a rate is not in it."""
    sums = {f"{method}_lb": Sum(f"{method}_pls_lb_per_acre") for method in Planting.Method.values}
    gaps = {
        f"{method}_gaps": Count("pk", filter=Q(**{f"{method}_pls_lb_per_acre": None}))
        for method in Planting.Method.values
    }
    rows = (
        Component.objects.filter(blend__in=blend_ids).order_by().values("blend_id").annotate(**sums, **gaps)
    )
    return {
        (row["blend_id"], method): row[f"{method}_lb"]
        for row in rows
        for method in Planting.Method.values
        if not row[f"{method}_gaps"]
    }
