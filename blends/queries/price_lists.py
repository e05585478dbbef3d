"""What a price list would do: its rows beside the offers that stand."""

from collections import Counter
from dataclasses import dataclass
from typing import NamedTuple

from django.db.models import Q

from blends.access import species_rows
from blends.calc.list_values import plain
from blends.calc.price_lists import (
    ReadRow,
    has_decimal_commas_in,
    label_of,
    read_row,
    read_rows,
    what_is_wrong_with_columns,
)
from blends.calc.price_tables import headings_of
from blends.models import Blend, Offer, SeedName, Species
from blends.offer_rules import check_offer
from blends.queries.seasons import blends_to_assign
from config.errors import Refused

NEW, REPLACES, UNCHANGED, LEFT_OUT = "new", "replaces", "unchanged", "left_out"
NOT_OURS, HEADING = "not_ours", "heading"


@dataclass
class ListRow:
    """A row of a price list and what becomes of it.

    Attributes
    ----------
    read : ReadRow
    becomes : str
        "new", "replaces", "unchanged" or "left_out".
    reason : str
        Why it is left out.
    why : str
        "heading", "not_ours", or "" where something can be mended.
    offer : Offer or None
        Not stored; of a row that is not left out.
    old : Offer or None
        The standing offer of the same seed, variety and pack.
    changes : list of str
        What differs from it.
    """

    read: ReadRow
    becomes: str = LEFT_OUT
    reason: str = ""
    why: str = ""
    offer: Offer | None = None
    old: Offer | None = None
    changes: tuple = ()


class Preview(NamedTuple):
    """`wrong` says why the columns cannot be read; the rows are empty then."""

    wrong: list
    rows: list

    def of(self, becomes):
        return [row for row in self.rows if row.becomes == becomes]

    @property
    def counts(self):
        counts = Counter(row.becomes for row in self.rows)
        return {name: counts[name] for name in (NEW, REPLACES, UNCHANGED, LEFT_OUT)}


class SeedNameAsked(NamedTuple):
    """A name of the list: on how many rows, what it means here, and what it may mean by its spelling."""

    name: str
    rows: int
    meaning: SeedName | None
    suggested: Species | Blend | None

    @property
    def value(self):
        """The choice of a select: what was answered, else what is suggested."""
        if self.meaning is not None:
            thing = self.meaning.species or self.meaning.blend
            return "none" if thing is None else thing_value(thing)
        return "" if self.suggested is None else thing_value(self.suggested)


def thing_value(thing):
    return f"{'species' if isinstance(thing, Species) else 'blend'}:{thing.pk}"


def name_key(name):
    """A seed's name as it is remembered."""
    return plain(name).lower()[:200]


def price_lists_of(property, supplier=None):
    """The lists without their tables, the latest first."""
    rows = property.price_lists.select_related("supplier", "created_by").defer("table", "left_out")
    return rows if supplier is None else rows.filter(supplier=supplier)


def meanings(property):
    """{name: SeedName} of everything that was matched once; one query."""
    rows = SeedName.objects.filter(property=property).select_related("species", "blend")
    return {row.name: row for row in rows}


def suggestions(property):
    """{name: Species or Blend} by exact common and scientific names; a name of two things suggests neither."""
    found = {}
    for species in species_rows(property):
        for name in (species.common_name, species.scientific_name):
            if name:
                found.setdefault(name_key(name), set()).add(species)
    for blend in blends_to_assign(property).filter(kind=Blend.Kind.BOUGHT):
        found.setdefault(name_key(blend.name), set()).add(blend)
    return {name: next(iter(things)) for name, things in found.items() if len(things) == 1}


def names_asked(price_list):
    """The names of seed on a list, those without a meaning first; none while its columns are not matched."""
    if _wrong(price_list) or price_list.state == price_list.State.SET_ASIDE:
        return []
    counts, shown = Counter(), {}
    for row in _read(price_list):
        if row.name and not row.is_heading and len(row.name) <= 200:
            counts[name_key(row.name)] += 1
            shown.setdefault(name_key(row.name), row.name)
    known = meanings(price_list.property)
    suggested = suggestions(price_list.property) if counts.keys() - known.keys() else {}
    asked = [
        SeedNameAsked(shown[name], count, known.get(name), suggested.get(name))
        for name, count in counts.items()
    ]
    return sorted(asked, key=lambda each: (each.meaning is not None, each.name.casefold()))


def preview(price_list, read=None):
    """What storing the list would do now.

    Parameters
    ----------
    price_list : PriceList
    read : list of ReadRow, optional
        Other rows than the table's own.

    Returns
    -------
    Preview
        Five queries, whatever the list's length.
    """
    wrong = _wrong(price_list)
    if wrong:
        return Preview(wrong, [])
    property, supplier = price_list.property, price_list.supplier
    known = meanings(property)
    species_ids = set(species_rows(property).values_list("pk", flat=True))
    standing = _standing(supplier)
    seen, rows = {}, []
    for each in _read(price_list) if read is None else read:
        row = ListRow(each, reason=each.reason, why=HEADING if each.is_heading else "")
        rows.append(row)
        _decide(row, price_list, known, species_ids, standing, seen)
    return Preview([], rows)


def left_out_rows(price_list, indices=None):
    """ReadRow of what a stored list left out, with its cells as they were corrected."""
    has_commas = has_decimal_commas_in(price_list.table, price_list.heading_row, price_list.columns)
    return [
        read_row(each["cells"], price_list.columns, each["row"], each["line"], has_commas)
        for each in price_list.left_out
        if indices is None or each["row"] in indices
    ]


def matched_fields(price_list):
    """(field, label, column) of the columns that are matched, by column."""
    found = [
        (name, label_of(name), at) for name, at in price_list.columns.items() if not name.startswith("all:")
    ]
    return sorted(found, key=lambda each: each[2])


def columns_with_samples(price_list, count=3):
    """(column, heading, samples, field) of every column, for the person to match."""
    rows = price_list.table
    fields = {at: name for name, at in price_list.columns.items() if not name.startswith("all:")}
    headings = headings_of(rows, price_list.heading_row)
    found = []
    for column, heading in enumerate(headings):
        cells = (row[column] for row in rows[price_list.heading_row + 1 :])
        samples = []
        for cell in cells:
            if cell and cell not in samples:
                samples.append(cell)
            if len(samples) == count:
                break
        shown = rows[price_list.heading_row][column] or heading.capitalize()
        found.append((column, shown, samples, fields.get(column, "")))
    return found


def _wrong(price_list):
    return what_is_wrong_with_columns(price_list.columns, len(price_list.table[0]))


def _read(price_list):
    return read_rows(price_list.table, price_list.heading_row, price_list.columns)


def _standing(supplier):
    """{what is sold: the newest standing offer}."""
    rows = Offer.objects.filter(Q(is_withdrawn=False), supplier=supplier)
    rows = rows.select_related("species", "blend").prefetch_related("breaks").order_by("pk")
    return {_key(offer): offer for offer in rows}


def _key(offer):
    return offer.species_id, offer.blend_id, offer.variety.casefold(), offer.pack_lb


def _decide(row, price_list, known, species_ids, standing, seen):
    read = row.read
    if row.why == HEADING:
        return
    meaning = known.get(name_key(read.name)) if read.name else None
    if meaning is not None and meaning.species_id is None and meaning.blend_id is None:
        row.why, row.reason = NOT_OURS, f"“{read.name}” is no seed of yours, as you said."
        return
    if read.reasons:
        return
    if meaning is None:
        row.reason = f"Nobody has said yet which seed “{read.name}” is."
        return
    offer = Offer(
        property=price_list.property,
        supplier=price_list.supplier,
        species=meaning.species,
        blend=meaning.blend,
        price_list=price_list,
        **{name: value for name, value in read.values.items() if value is not None},
    )
    try:
        check_offer(price_list.property, offer, read.breaks, species_ids)
    except Refused as refused:
        row.reason = refused.sentence
        return
    key = _key(offer)
    if key in seen:
        row.reason = f"Row {seen[key]} offers the same pack of the same seed; accepted is one of them."
        return
    seen[key] = read.line
    row.offer, row.old = offer, standing.get(key)
    row.becomes = NEW
    if row.old is not None:
        row.changes = _changes(row.old, offer, read, price_list)
        row.becomes = REPLACES if row.changes else UNCHANGED


def _changes(old, offer, read, price_list):
    """What the list says otherwise than the standing offer; what it does not say is no change."""
    found = []
    if (old.quoted_per, old.quoted_usd) != (offer.quoted_per, offer.quoted_usd):
        found.append(f"price of a pack {old.price_usd:,.2f} → {offer.price_usd:,.2f}")
    for name, value in read.values.items():
        if name in ("quoted_per", "quoted_usd", "quoted_on", "variety", "pack_lb") or value is None:
            continue
        if getattr(old, name) != value:
            found.append(f"{label_of(name).lower()} {_said(getattr(old, name))} → {_said(value)}")
    if any(name.startswith("break:") for name in price_list.columns):
        before = [(each.from_packs, each.quoted_usd) for each in old.breaks.all()]
        now = [(each["from_packs"], each["quoted_usd"]) for each in read.breaks]
        if before != now:
            found.append("prices of many packs")
    return tuple(found)


def _said(value):
    if value is None or value == "":
        return "not known"
    return f"{value.normalize():f}" if hasattr(value, "normalize") else str(value)
