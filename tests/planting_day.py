"""An invented planting day: two plots, a drill with two boxes, seed of three lots."""

from datetime import date
from decimal import Decimal

from blends.models import Lot, Species
from blends.services.blends import save_blend
from blends.services.lot_choices import choose_lots
from blends.services.machines import save_machine
from blends.services.seasons import assign, open_season
from blends.services.stock import receive

RATES = {"cereal_rye": "60", "crimson_clover": "4"}  # PLS lb/ac; round numbers of ours
TAG = {"purity_pct": Decimal(98), "germination_pct": Decimal(90)}


class PlantingDay:
    """`season`, `plots`, `machine` and `lots` of what was made; `lots` by species key."""

    def __init__(self, farm, owner, make_plot):
        self.farm, self.owner = farm, owner
        self.plots = [make_plot("Heron Bench", acres=2.0), make_plot("Alder Creek", acres=1.5, lon=-91.99)]
        self.season = open_season(property=farm, year=2026, kind="cool")
        self.machine = save_machine(
            property=farm,
            user=owner,
            name="Ten-foot drill",
            kind="drill",
            openers=16,
            spacing_in=Decimal("7.5"),
            main_box_ft3=Decimal("2"),
            small_box_ft3=Decimal("0.8"),
            course_ft=Decimal(100),
        )
        blend = save_blend(
            property=farm,
            user=owner,
            name="Rye and clover",
            kind="mixed",
            components=[
                {
                    "species_id": species(key).pk,
                    "drilled_pls_lb_per_acre": Decimal(rate),
                    "broadcast_pls_lb_per_acre": None,
                }
                for key, rate in RATES.items()
            ],
        )
        uses = [{"plot_id": plot.pk, "blend_id": blend.pk, "method": "drilled"} for plot in self.plots]
        assign(season=self.season, user=owner, assignments=uses)
        self.lots = {key: self._received(key) for key in RATES}
        for planting in self.season.plantings.all():
            choices = [{"lot_id": lot.pk, "lb": None} for lot in self.lots.values()]
            choose_lots(planting=planting, user=owner, choices=choices)

    def _received(self, key):
        lot = Lot.objects.create(
            property=self.farm,
            species=species(key),
            lot_number=f"{key[:3].upper()}-7",
            goods_usd=Decimal("431.19"),
            **TAG,
        )
        receive(lot=lot, lb="400", on=date(2026, 8, 1), user=self.owner)
        return lot

    def on_hand(self, key):
        self.lots[key].refresh_from_db()
        return self.lots[key].on_hand_lb


def species(key):
    return Species.objects.get(key=key, property=None)
