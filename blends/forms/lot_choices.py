"""The page that chooses a plot's lots: for each item its lots, each ticked or not, with its pounds or the rest."""

from dataclasses import dataclass
from decimal import Decimal

from django import forms

from blends.forms.figures import FigureField
from blends.queries.lots import live_seed
from config.pages import Complaint


@dataclass
class LotRow:
    """A lot as it stands on the page."""

    lot: object
    live: object
    free_lb: Decimal
    is_taken: bool
    typed_lb: str
    error: str = ""

    @property
    def live_pct(self):
        return None if self.live.fraction is None else 100 * self.live.fraction


class ItemLots:
    """One item of the blend with its lots, whether just opened or given back with errors.

    Parameters
    ----------
    seeds : list of SheetSeed
        Of this item.
    lots : list of Lot
    chosen : dict
        Pounds or None by the lot's id.
    promised : dict
        Pounds promised to other plots, by the lot's id.
    acres : float or None
    data : QueryDict or None
        What was posted: `take` with the lots' ids, `lb_<id>` with pounds, empty for the rest.
    """

    def __init__(self, seeds, lots, chosen, promised, acres, data):
        first = seeds[0]
        self.name, self.instead_of, self.is_bought = first.name, first.instead_of, first.species is None
        rates = [seed.pls_lb_per_acre for seed in seeds]
        self.rate_lb_per_acre = None if None in rates else sum(rates)
        self.needed_lb = None if None in (acres, self.rate_lb_per_acre) else acres * self.rate_lb_per_acre
        self.complaints, self.choices, self.rows = [], [], []
        taken = None if data is None else set(data.getlist("take"))
        for lot in lots:
            row = LotRow(
                lot,
                live_seed(lot),
                lot.on_hand_lb - promised.get(lot.pk, Decimal(0)),
                lot.pk in chosen if taken is None else str(lot.pk) in taken,
                _text(chosen.get(lot.pk)) if data is None else data.get(f"lb_{lot.pk}", "").strip(),
            )
            self.rows.append(row)
            if data is not None and row.is_taken:
                self._read(row)

    def _read(self, row):
        field = FigureField(label="Pounds", required=False, max_digits=12, decimal_places=3)
        try:
            lb = field.clean(row.typed_lb)
        except forms.ValidationError as error:
            row.error = " ".join(error.messages)
            self.complaints.append(Complaint(row.error, str(row.lot), f"id_lb_{row.lot.pk}"))
        else:
            self.choices.append({"lot_id": row.lot.pk, "lb": lb})


def _text(lb):
    return "" if lb is None else f"{lb.normalize():f}"
