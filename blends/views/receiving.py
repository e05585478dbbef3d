"""Deliveries as they are entered: lot by lot, and what a tag says is judged before it is stored."""

import hashlib

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from blends.access import purchase_for, receipt_for, species_rows
from blends.calc.tag_findings import NOTE, Tag
from blends.forms.receiving import NOT_NAMED, DeliveryForm, ReceivedLotForm
from blends.models import Blend, Supplier
from blends.queries.purchases import figures_of, over_delivered
from blends.queries.stock import findings_against, places_known
from blends.services.receiving import add_lot, receive_delivery
from config.errors import SwardbookError
from config.pages import Complaint, complaints, section, show_refusal
from plots.access import EDIT, RECORD, check_may_correct, property_for

MOST_CARDS = 60
_NAMES = {"place": "where", "line": "packs", "supplier": "supplier_id"}


@section("stock")
@require_http_methods(["GET", "HEAD", "POST"])
def receive(request, slug, number):
    """A delivery of a purchase order. Posted, `act` is store, or more and the line that came in another lot too."""
    purchase = purchase_for(request.user, slug, number, RECORD)
    page = _Receiving(request, purchase.property, purchase)
    return page.answer()


@section("stock")
@require_http_methods(["GET", "HEAD", "POST"])
def delivery_new(request, slug):
    """Seed that no purchase order names: opening stock, last year's rest, a neighbour's."""
    page = _Receiving(request, property_for(request.user, slug, RECORD))
    return page.answer()


@section("stock")
@require_http_methods(["GET", "HEAD", "POST"])
def delivery_lot(request, slug, receipt_id):
    """One more lot of a delivery."""
    receipt = receipt_for(request.user, slug, receipt_id, RECORD)
    check_may_correct(request.user, receipt.property, receipt)
    return _Receiving(request, receipt.property, receipt.purchase, receipt).answer()


class _Receiving:
    """A delivery with a card for each lot, whether just opened or given back with what has to be looked at."""

    def __init__(self, request, property, purchase=None, receipt=None):
        self.request, self.property, self.purchase, self.receipt = request, property, purchase, receipt
        self.with_money = EDIT in property.allowed
        self.is_posted = request.method == "POST"
        self.act = request.POST.get("act", "")
        self.lines, self.figures = {}, []
        if purchase is not None:
            self.figures = figures_of(purchase).lines
            self.lines = {str(each.line.pk): each for each in self.figures}
        self.seeds = {} if purchase is not None else _seeds(property)
        suppliers = None
        if purchase is None:
            suppliers = Supplier.objects.filter(property=property, is_archived=False).order_by("name")
        data = request.POST if self.is_posted else None
        self.form = None if receipt else DeliveryForm(data, with_money=self.with_money, suppliers=suppliers)
        self.cards = self._cards(data)
        self.problems, self.seen = [], ""

    def _cards(self, data):
        """The forms of the lots; `cards` says which line each is of."""
        if data is None:
            open_lines = [each for each in self.figures if each.open_packs]
            keys = [str(each.line.pk) for each in ([] if self.receipt else open_lines)]
            keys = keys or ([str(self.figures[0].line.pk)] if self.figures else [""])
        else:
            keys = data.get("cards", "").split(",")[:MOST_CARDS]
            if self.act.startswith("more"):
                keys.append(self.act.removeprefix("more").strip("-"))
        cards = []
        for position, key in enumerate(keys):
            row = self.lines.get(key)
            if self.purchase is not None and row is None:  # its line was taken off meanwhile
                continue
            is_new = data is None or (self.act.startswith("more") and position == len(keys) - 1)
            initial = {}
            if row is not None and is_new:
                packs = row.next_packs if data is None and not self.receipt else None
                initial = {"packs": packs or None, "variety": row.line.offer.variety}
            card = ReceivedLotForm(
                None if is_new else data,
                position=position,
                with_money=self.with_money,
                line=row.line if row else None,
                seeds=[("", "Choose the seed"), *((key, str(each)) for key, each in self.seeds.items())],
                initial=initial,
            )
            card.key, card.found = key, []
            cards.append(card)
        return cards

    def answer(self):
        if self.is_posted and self.act == "store":
            done = self._stored()
            if done is not None:
                return redirect("delivery", self.property.slug, done.pk)
        return render(self.request, "blends/receive.html", self._context())

    def _stored(self):
        """The delivery, or None where something has to be mended or looked at first."""
        forms = [*([self.form] if self.form else []), *self.cards]
        if not all([form.is_valid() for form in forms]):
            self.problems = complaints(*forms)
            return None
        filled = [card for card in self.cards if not card.is_blank]
        if not filled:
            self.problems = [Complaint("Nothing is entered; say of one lot at least how much came.")]
            return None
        rows = []
        for card in filled:
            seed = self._seed(card)
            if seed is None and card.line is None:
                card.add_error("seed", NOT_NAMED)
                self.problems = complaints(*forms)
                return None
            rows.append(card.row(seed))
        on = self.receipt.received_on if self.receipt else self.form.cleaned_data["received_on"]
        for card, row in zip(filled, rows, strict=True):
            card.found = _found(row, on)
        if not self._is_seen(filled):
            return None
        try:
            return self._store(rows)
        except SwardbookError as error:
            self._show(error, filled)
            return None

    def _store(self, rows):
        user = self.request.user
        if self.receipt is not None:
            for row in rows:
                add_lot(receipt=self.receipt, row=row, user=user)
            messages.success(self.request, "The lot is added, and the freight is shared anew.")
            return self.receipt
        given = dict(self.form.cleaned_data)
        supplier_id = given.pop("supplier_id", None)
        supplier = (
            Supplier.objects.filter(property=self.property, pk=supplier_id).first() if supplier_id else None
        )
        receipt = receive_delivery(
            property=self.property, user=user, purchase=self.purchase, supplier=supplier, rows=rows, **given
        )
        messages.success(
            self.request, f"Stored: {len(rows)} lot{' is' if len(rows) == 1 else 's are'} in the stock."
        )
        if self.purchase is not None:
            for sentence in over_delivered(self.purchase):
                messages.warning(self.request, sentence)
        return receipt

    def _is_seen(self, cards):
        """Whether the person has seen what has to be looked at; it is shown once before anything is stored."""
        said = [each.sentence for card in cards for each in card.found if each.level != NOTE]
        self.seen = hashlib.sha256("\n".join(said).encode()).hexdigest()[:16] if said else ""
        if not said or self.request.POST.get("seen") == self.seen:
            return True
        self.problems = []
        return False

    def _show(self, error, filled):
        """Put a refusal beside the field that it is about."""
        show_refusal(self.form or self.cards[0], error, names=_NAMES, rows={"rows": filled})
        self.problems = complaints(*([self.form] if self.form else []), *self.cards)

    def _seed(self, card):
        thing = self.seeds.get(card.cleaned_data.get("seed", ""))
        if thing is None:
            return None
        return {"blend" if isinstance(thing, Blend) else "species": thing}

    def _context(self):
        return {
            "property": self.property,
            "purchase": self.purchase,
            "receipt": self.receipt,
            "form": self.form,
            "cards": self.cards,
            "keys": ",".join(card.key for card in self.cards),
            "lines": self.figures,
            "seen": self.seen,
            "is_looked_at": bool(self.seen) and not self.problems,
            "places": places_known(self.property),
            "complaints": self.problems,
        }


def _seeds(property):
    """What a lot can be of, by the value of the select."""
    species = species_rows(property).order_by("common_name")
    bought = Blend.objects.filter(property=property, kind=Blend.Kind.BOUGHT, is_archived=False).order_by(
        "name"
    )
    return {f"species-{each.pk}": each for each in species} | {f"blend-{each.pk}": each for each in bought}


def _found(row, on):
    """What stands against the tag of a row that is not stored yet."""
    line = row.get("line")
    species = line.species if line else row.get("species")
    tag = Tag(**{name: row[name] for name in Tag._fields if name in row})
    return findings_against(tag, on, species=species, line=line)
