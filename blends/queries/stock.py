"""The seed in stock as pages, files and the API show it: by species, by lot, by place, and a lot's ledger."""

from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import Q, Sum
from django.utils import timezone

from blends.calc.ages import SeedAge, age_of_test
from blends.calc.tag_findings import findings, kind_of_test, names_treatment, tag_of
from blends.models import Lot, StockEntry
from blends.queries.lots import LiveSeed, live_seed, lots_of
from blends.queries.stock_book import worked_through


@dataclass(frozen=True)
class StockRow:
    """A lot as it is now.

    Attributes
    ----------
    lot : Lot
    live : LiveSeed
    pls_lb : float or None
        Pounds of pure live seed on hand; None while it is not known how alive the lot is, and for a bought mix, which
        is sown by the bulk pound.
    age : SeedAge or None
    places : list of (str, Decimal)
        Where it lies; an empty name is a place not said. [bulk lb]
    value_usd : Decimal or None
        What the seed on hand has cost; None while not known, or not asked for.
    """

    lot: Lot
    live: LiveSeed
    pls_lb: float | None
    age: SeedAge | None
    places: list
    value_usd: Decimal | None

    @property
    def is_treated(self):
        return names_treatment(self.lot.treatment)

    @property
    def lacks_tag(self):
        """Nobody knows how alive it is; a bought mix has that on its blend."""
        return self.lot.blend_id is None and self.live.fraction is None


@dataclass(frozen=True)
class StockGroup:
    """The lots of one species or mix, with their sums.

    `pls_lb` is the sum of what is known and `unknown_count` says of how many lots it is not; `value_usd` likewise with
    `unpriced_count`. Each is None where nothing is known.
    """

    item: object
    rows: list = field(default_factory=list)

    @property
    def lb(self):
        return sum((row.lot.on_hand_lb for row in self.rows), Decimal(0))

    @property
    def pls_lb(self):
        known = [row.pls_lb for row in self.rows if row.pls_lb is not None]
        return sum(known) if known else None

    @property
    def unknown_count(self):
        return sum(row.lacks_tag for row in self.rows)

    @property
    def value_usd(self):
        known = [row.value_usd for row in self.rows if row.value_usd is not None]
        return sum(known, Decimal(0)) if known else None

    @property
    def unpriced_count(self):
        return sum(row.value_usd is None for row in self.rows)


def searched_lots(property, search=""):
    """The property's lots of which every word of the search is found in name, variety, number, origin or treatment."""
    lots = lots_of(property)
    for word in search.split():
        lots = lots.filter(
            Q(species__common_name__icontains=word)
            | Q(species__scientific_name__icontains=word)
            | Q(blend__name__icontains=word)
            | Q(variety__icontains=word)
            | Q(lot_number__icontains=word)
            | Q(origin__icontains=word)
            | Q(treatment__icontains=word)
        )
    return lots


def stock_rows(lots, *, with_costs, on=None):
    """Lots as they are now; two queries beside those of `lots`, whatever their number.

    Parameters
    ----------
    lots : iterable of Lot
        Of `lots_of`.
    with_costs : bool
        Only for who may see costs.
    on : date, optional
        The day of the ages; today when left out.

    Returns
    -------
    list of StockRow
    """
    lots, on = list(lots), on or timezone.localdate()
    places, gone_usd = _places(lots), _gone_usd(lots) if with_costs else {}
    rows = []
    for lot in lots:
        live = live_seed(lot)
        is_known = lot.blend_id is None and live.fraction is not None
        value_usd = None
        if with_costs and lot.cost_usd is not None:
            value_usd = lot.cost_usd - gone_usd.get(lot.pk, Decimal(0)) if lot.on_hand_lb else Decimal("0.00")
        pls_lb = float(lot.on_hand_lb) * live.fraction if is_known else None
        rows.append(
            StockRow(lot, live, pls_lb, age_of_test(live.tested_on, on), places.get(lot.pk, []), value_usd)
        )
    return rows


def by_item(rows):
    """StockGroups of rows, species before mixes, in the order of their names; the oldest lot first."""
    groups = {}
    for row in rows:
        groups.setdefault((row.lot.species_id, row.lot.blend_id), StockGroup(row.lot.item)).rows.append(row)
    return sorted(groups.values(), key=lambda group: (group.rows[0].lot.species_id is None, str(group.item)))


def places_of(property):
    """[(place, number of lots)] where seed lies now, by name; a place not said last."""
    counted = {}
    for _, place in _lying(lot__property=property):
        counted[place] = counted.get(place, 0) + 1
    return sorted(counted.items(), key=lambda each: (not each[0], each[0].casefold()))


def places_known(property):
    """Every place that was ever named, to choose from."""
    rows = StockEntry.objects.filter(lot__property=property).exclude(place="").order_by("place")
    return list(rows.values_list("place", flat=True).distinct())


def lots_at(property, place):
    """The lots that lie at a place by the book, by name and number."""
    ids = [lot_id for lot_id, at in _lying(lot__property=property) if at == place]
    return sorted(lots_of(property, pk__in=ids), key=lambda lot: (str(lot.item), lot.lot_number, lot.pk))


def counts_at(property, place, on):
    """What was counted at a place on a day: the last count of each lot, with its lot."""
    rows = StockEntry.objects.filter(
        lot__property=property, kind=StockEntry.Kind.COUNTED, place=place, on=on, is_taken_back=False
    )
    rows = rows.filter(record_seed=None).select_related("lot__species", "lot__blend", "created_by")
    last = {row.lot_id: row for row in rows.order_by("stands_at", "pk")}
    return sorted(last.values(), key=lambda row: (str(row.lot.item), row.lot.lot_number, row.lot_id))


def ledger_of(lot):
    """The entries of a lot, the first first, with `balance`: the pounds after each; None for what was taken back."""
    entries = list(
        lot.entries.select_related("created_by", "taken_back_by", "record_seed__record__planting__plot")
    )
    book = worked_through([entry for entry in entries if not entry.is_taken_back], lot.cost_usd, lot)
    for entry in entries:
        entry.lot = lot
        entry.balance = book.balances.get(entry.pk)
    return entries


def findings_of(lot):
    """What stands against the tag of a lot, on the day it came; today where nobody knows when."""
    received_on = lot.entries.filter(kind=StockEntry.Kind.RECEIVED, is_taken_back=False).values_list(
        "on", flat=True
    )
    on = lot.receipt.received_on if lot.receipt_id else received_on.first() or timezone.localdate()
    return findings_against(tag_of(lot), on, species=lot.species, line=lot.purchase_line)


def findings_against(tag, on, *, species, line=None):
    """What stands against a tag, held against what was offered.

    Parameters
    ----------
    tag : Tag
    on : date
        When the seed came.
    species : Species or None
        None of a bought mix.
    line : PurchaseLine, optional
        The line that the seed came for.
    """
    offered = None
    if line is not None:  # the document has its own copy of the figures; the words are the offer's
        words = tag_of(line.offer)
        offered = tag_of(line)._replace(noxious=words.noxious, treatment=words.treatment)
    kind = kind_of_test(species.scientific_name if species is not None else "")
    return findings(tag, on, offered=offered, kind=kind, is_mix=species is None)


def entry_of(lot, entry_id):
    """A queryset of that entry of the lot, with what an answer names."""
    return lot.entries.filter(pk=entry_id).select_related("created_by", "taken_back_by")


def _lying(**lookup):
    rows = StockEntry.objects.filter(is_taken_back=False, **lookup).values("lot_id", "place")
    rows = rows.annotate(lies_lb=Sum("lb")).exclude(lies_lb=0).order_by("lot_id", "place")
    return list(rows.values_list("lot_id", "place"))


def _places(lots):
    rows = StockEntry.objects.filter(is_taken_back=False, lot__in=[lot.pk for lot in lots])
    found = {}
    for lot_id, place, lb in (
        rows.values("lot_id", "place")
        .annotate(lies_lb=Sum("lb"))
        .order_by("lot_id", "-lies_lb", "place")
        .values_list("lot_id", "place", "lies_lb")
    ):
        if lb:
            found.setdefault(lot_id, []).append((place, lb))
    return found


def _gone_usd(lots):
    rows = StockEntry.objects.filter(is_taken_back=False, lot__in=[lot.pk for lot in lots])
    sums = rows.exclude(cost_usd=None).order_by().values("lot_id").annotate(gone_usd=Sum("cost_usd"))
    return dict(sums.values_list("lot_id", "gone_usd"))
