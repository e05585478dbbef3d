"""What of the stock is promised to plots that are still to be planted."""

from collections import Counter
from dataclasses import dataclass
from decimal import Decimal

from blends.models import Component, Lot, Planting, PlantingLot, Season
from blends.queries.lots import LiveSeed, live_seed, lots_of
from blends.queries.sheets.making import sheets
from blends.queries.substitutions import substitutes_in

_ROUNDING_LB = Decimal("0.005")


@dataclass(frozen=True, slots=True)
class LotBalance:
    """A lot, and what its pounds are promised for.

    Attributes
    ----------
    lot : Lot
    live : LiveSeed
    here_lb, elsewhere_lb : Decimal
        Promised in this season and in others. [lb bulk]
    """

    lot: Lot
    live: LiveSeed
    here_lb: Decimal
    elsewhere_lb: Decimal

    @property
    def promised_lb(self):
        return self.here_lb + self.elsewhere_lb

    @property
    def left_lb(self):
        """On hand and not promised; below 0 where more is promised than there is. [lb bulk]

        Promises are in hundredths: half of one below 0 is their rounding, and 0.
        """
        left_lb = self.lot.on_hand_lb - self.promised_lb
        return Decimal(0) if -_ROUNDING_LB <= left_lb < 0 else left_lb

    @property
    def is_short(self):
        return self.left_lb < 0


def promised_lb(found):
    """{lot id: Decimal pounds} that the planned ones of some sheets take of chosen lots.

    Parameters
    ----------
    found : iterable of Sheet
    """
    promised = Counter()
    for sheet in found:
        if sheet.is_planned:
            for seed in sheet.seeds:
                if seed.lot is not None and seed.lb is not None:
                    promised[seed.lot.pk] += Decimal(f"{seed.lb:.2f}")
    return promised


def promised_by_choices(property, *, but_season=None, but_planting=None):
    """{lot id: Decimal pounds} that planned plots take of chosen lots, over the property's seasons.

    Only plots with a chosen lot are looked at, so that this costs little where nothing is chosen yet.

    Parameters
    ----------
    property : Property
    but_season : Season, optional
    but_planting : Planting, optional
    """
    choices = PlantingLot.objects.filter(
        planting__season__property=property, planting__state=Planting.State.PLANNED
    )
    if but_season is not None:
        choices = choices.exclude(planting__season=but_season)
    if but_planting is not None:
        choices = choices.exclude(planting=but_planting)
    plots = {}
    for season_id, plot_id in choices.values_list("planting__season", "planting__plot").distinct():
        plots.setdefault(season_id, []).append(plot_id)
    promised = Counter()
    for season in Season.objects.filter(pk__in=plots).select_related("property", "order"):
        promised.update(promised_lb(sheets(season, plots[season.pk])))
    return promised


def balances(season):
    """What the stock has for a season, and what of it is promised.

    Returns
    -------
    list of LotBalance
        Every lot of what is sown that is on hand or promised, by its name.
    """
    everywhere = promised_by_choices(season.property)
    elsewhere = promised_by_choices(season.property, but_season=season)
    sown = set(
        Component.objects.filter(blend__plantings__season=season).values_list("species_id", flat=True)
    ) | {species.pk for species, _ in substitutes_in(season).values()}
    rows = [
        LotBalance(lot, live_seed(lot), everywhere[lot.pk] - elsewhere[lot.pk], Decimal(elsewhere[lot.pk]))
        for lot in lots_of(season.property)
        if everywhere[lot.pk] or (lot.on_hand_lb > 0 and (lot.blend_id is not None or lot.species_id in sown))
    ]
    return sorted(rows, key=lambda row: (str(row.lot.item).casefold(), row.lot.pk))
