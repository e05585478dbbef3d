"""Which lots the plots of a season take their seed from. A choice is a plan: it holds back seed and uses none."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_DOWN, Decimal

from django.db import transaction

from blends.calc.sheets import ENOUGH_LB
from blends.models import Blend, Lot, Planting, PlantingLot, Season
from blends.queries.lots import live_seed, lots_of
from blends.queries.sheets import sheets
from blends.queries.sheets.promised import promised_by_choices
from blends.queries.sheets.taking import items_of
from blends.queries.versions import version_ids
from blends.services.stale import CHUNK
from blends.services.stock import lock_lots
from config.errors import Conflict, Refused
from plots.services.rows import save_clean

# Sheets and planting records tell pounds to the hundredth; a lot that is taken whole must not be rounded beyond itself.
ON_A_SHEET_LB = Decimal("0.01")


@transaction.atomic
def choose_lots(*, planting, user, choices):
    """Say which lots a planting takes; those chosen before give way.

    Parameters
    ----------
    planting : Planting
    user : User
    choices : list of dict
        `lot_id`, and `lb`: its bulk pounds, or None for whatever the others of its kind leave.

    Returns
    -------
    list of PlantingLot

    Raises
    ------
    Refused
        A lot of another property or of seed that the plot does not take, one named twice, two that bring the rest,
        pounds that are not above 0.
    Conflict
        The plot has been planted.
    """
    planting = _planned(planting)
    items = items_of(planting)
    lots = {lot.pk: lot for lot in Lot.objects.filter(property=planting.season.property_id)}
    rests, seen, rows = {}, set(), []
    for position, choice in enumerate(choices):
        lot = lots.get(choice["lot_id"])
        if lot is None:
            _refuse(
                position,
                "lot_id",
                f"Lot {choice['lot_id']} is not there; a lot of this property is accepted.",
            )
        key = items.get((lot.species_id, lot.blend_id))
        if key is None:
            _refuse(
                position,
                "lot_id",
                f"{lot} is not sown on {planting.plot}: nothing of {planting.blend} takes it.",
            )
        if lot.pk in seen:
            _refuse(position, "lot_id", f"{lot} is chosen twice; once is accepted.")
        seen.add(lot.pk)
        if choice.get("lb") is None and rests.setdefault(key, lot) is not lot:
            _refuse(
                position,
                "lb",
                f"{lot} and {rests[key]} have no pounds; one lot of a kind brings the rest, the others need theirs.",
            )
        rows.append(PlantingLot(planting=planting, lot=lot, lb=choice.get("lb")))
    planting.chosen_lots.all().delete()
    for position, row in enumerate(rows):
        try:
            save_clean(row)
        except Refused as error:
            fields = {f"{position}.{name or 'lb'}": texts for name, texts in error.fields.items()}
            raise Refused(f"{row.lot}: {error.sentence}", fields=fields) from error
    return rows


@dataclass
class Filled:
    """What came of filling plots from stock.

    Attributes
    ----------
    plots : int
        That got a lot.
    choices : int
        Lots chosen, plot by plot.
    short : list of (str, Decimal, int)
        What, live pounds that no lot has, on how many plots; bulk pounds of a bought mix.
    left_out : list of Lot
        With seed on hand that is dead, or of which nobody knows how alive it is.
    """

    plots: int = 0
    choices: int = 0
    short: list = field(default_factory=list)
    left_out: list = field(default_factory=list)

    @property
    def sentences(self):
        said = [
            f"{lb:,.2f} lb of {name} lack on {plots} plot{'s'[: plots != 1]}."
            for name, lb, plots in self.short
        ]
        return said + [f"{lot} was left out: {_why_left_out(lot)}." for lot in self.left_out]


def _why_left_out(lot):
    if live_seed(lot).fraction == 0:
        return "it has no live seed by its latest test or tag"
    return "its tag has no germination or no purity"


@transaction.atomic
def fill_from_stock(*, season, user, plot_ids=None):
    """Give planned plots the lots that they lack, in the order of the run, the oldest test first.

    What was chosen stays. No lot is promised beyond what is on hand and not promised to a planned plot already; where
    one runs out in a plot, the next goes on.

    Parameters
    ----------
    season : Season
    user : User
    plot_ids : list of int, optional
        In the order of the run; all planned plots by name without it.

    Returns
    -------
    Filled
    """
    Season.objects.select_for_update(of=("self",)).get(pk=season.pk)
    lock_lots(list(Lot.objects.filter(property=season.property_id).values_list("pk", flat=True)))
    every = [sheet for sheet in sheets(season) if sheet.is_planned]
    if plot_ids is not None:
        place = {pk: place for place, pk in enumerate(plot_ids)}
        wanted = sorted(
            (sheet for sheet in every if sheet.plot.pk in place), key=lambda sheet: place[sheet.plot.pk]
        )
    else:
        wanted = every
    shelf = _Shelf(season, promised_by_choices(season.property))
    rows, short, filled = [], defaultdict(lambda: [0.0, 0]), Filled()
    for sheet in wanted:
        new = list(_taken(sheet, shelf, short))
        filled.plots += bool(new)
        rows += new
    PlantingLot.objects.bulk_create(rows, batch_size=CHUNK)
    filled.choices = len(rows)
    filled.short = [
        (name, Decimal(f"{lb:.2f}"), plots)
        for name, (lb, plots) in sorted(short.items(), key=lambda each: each[0])
    ]
    filled.left_out = sorted(shelf.left_out.values(), key=str)
    return filled


@transaction.atomic
def clear_lots(*, season, user, plot_ids=None):
    """Take the chosen lots off planned plots. Returns how many plots had one."""
    Season.objects.select_for_update(of=("self",)).get(pk=season.pk)
    rows = PlantingLot.objects.filter(planting__season=season, planting__state=Planting.State.PLANNED)
    pairs = list(rows.values_list("pk", "planting__plot", "planting"))
    wanted = None if plot_ids is None else set(plot_ids)
    found = [(pk, planting) for pk, plot, planting in pairs if wanted is None or plot in wanted]
    ids = [pk for pk, _ in found]
    for start in range(0, len(ids), CHUNK):
        PlantingLot.objects.filter(pk__in=ids[start : start + CHUNK]).delete()
    return len({planting for _, planting in found})


def _planned(planting):
    """The planting with its season locked, so that its blend stays while lots are chosen."""
    Season.objects.select_for_update(of=("self",)).get(pk=planting.season_id)
    row = Planting.objects.select_related("plot", "blend", "season__property").get(pk=planting.pk)
    if row.state != Planting.State.PLANNED or row.blend is None:
        why = f"was planted on {row.planted_on}" if row.planted_on else "has no blend"
        raise Conflict(f"{row.plot} {why}; lots are chosen for plots that are still to be planted.")
    return row


class _Shelf:
    """The lots with what is free of them, the oldest test first."""

    def __init__(self, season, promised):
        self.free, self.by_item, self.live, self.left_out, self._unknown = {}, defaultdict(list), {}, {}, {}
        rows = [(lot, live_seed(lot)) for lot in lots_of(season.property, on_hand_lb__gt=0)]
        rows.sort(key=lambda row: (row[1].tested_on or date.max, row[0].pk))
        bought = {
            row.blend
            for row in Planting.objects.filter(season=season, blend__kind=Blend.Kind.BOUGHT).select_related(
                "blend"
            )
        }
        self.versions = version_ids(season.property, bought) if bought else {}
        self.place = {lot.pk: place for place, (lot, _) in enumerate(rows)}
        for lot, live in rows:
            key = lot.species_id, lot.blend_id
            fraction = 1.0 if lot.blend_id is not None else live.fraction
            if not fraction:
                self._unknown.setdefault(key, []).append(lot)
                continue
            self.free[lot.pk] = lot.on_hand_lb - promised.get(lot.pk, Decimal(0))
            self.live[lot.pk] = fraction
            self.by_item[key].append(lot)

    def lots(self, seed):
        """Lots of the item, in the order in which they are taken."""
        if seed.species is not None:
            keys = [(seed.species.pk, None)]
        else:
            keys = [(None, pk) for pk in self.versions.get(seed.blend.pk, [seed.blend.pk])]
        for key in keys:
            self.left_out.update({lot.pk: lot for lot in self._unknown.get(key, ())})
        found = [lot for key in keys for lot in self.by_item.get(key, ())]
        return sorted(found, key=lambda lot: self.place[lot.pk])


def _taken(sheet, shelf, short):
    """PlantingLot rows, not stored, for every seed of the sheet that has no lot yet."""
    chosen = {seed.lot.pk for seed in sheet.seeds if seed.lot is not None}
    for seed in sheet.seeds:
        if seed.lot is not None or seed.pls_lb_per_acre is None or not sheet.acres:
            continue
        open_lb = seed.pls_lb_per_acre * sheet.acres
        for lot in shelf.lots(seed):
            if open_lb < ENOUGH_LB or lot.pk in chosen:
                continue
            there = shelf.free[lot.pk].quantize(ON_A_SHEET_LB, ROUND_DOWN)
            asked = Decimal(f"{open_lb / shelf.live[lot.pk]:.2f}")
            if there < ON_A_SHEET_LB:
                continue
            is_enough = asked <= there
            lb = None if is_enough else there
            shelf.free[lot.pk] -= asked if is_enough else there
            open_lb -= open_lb if is_enough else float(there) * shelf.live[lot.pk]
            yield PlantingLot(planting=sheet.planting, lot=lot, lb=lb)
        if open_lb >= ENOUGH_LB:
            short[seed.name][0] += open_lb
            short[seed.name][1] += 1


def _refuse(position, field_name, sentence):
    raise Refused(sentence, fields={f"{position}.{field_name}": [sentence]})
