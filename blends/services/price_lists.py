"""Price lists on their way in: received, matched to columns and seed. listed_offers.py makes offers of them."""

from django.db import transaction

from blends.access import species_rows
from blends.calc.price_tables import guessed_columns, headings_of, table_of, with_headings
from blends.models import Blend, PriceList, SeedName
from blends.price_files import table_of_file
from blends.queries.price_lists import name_key
from config.errors import Conflict, refuse
from plots.services.rows import save_clean

State = PriceList.State


def receive_list(*, property, user, supplier, text="", content=None, file_name=""):
    """Keep the table of a price list, pasted as text or uploaded, with its columns as far as they are known.

    Parameters
    ----------
    text : str
        Pasted; tabs, semicolons, commas or bars between its columns.
    content : bytes, optional
        An uploaded file: CSV, text or .xlsx. It goes before the text.
    file_name : str
        The name of the file.

    Returns
    -------
    PriceList
        In state 'matching'; nothing is offered by it yet.

    Raises
    ------
    Refused
        No table can be read.
    """
    if supplier.property_id != property.pk:
        refuse("supplier", f"Supplier {supplier.pk} is not one of this property.")
    if supplier.is_archived:
        refuse("supplier", f"{supplier} is archived; bring it back first, or name another.")
    field = "text" if content is None else "file"
    try:
        rows, sheet = (table_of(text), "") if content is None else table_of_file(content)
        rows, heading_row = with_headings(rows)
    except ValueError as error:
        refuse(field, str(error))
    shown = "".join(each for each in file_name if each.isprintable())
    shown = f"{shown[:180]}, sheet {sheet}"[:255] if sheet else shown[:255]
    return save_clean(
        PriceList(
            property=property,
            supplier=supplier,
            file_name=shown,
            table=rows,
            heading_row=heading_row,
            columns=guessed_columns(headings_of(rows, heading_row), supplier.list_columns),
            created_by=user,
        )
    )


@transaction.atomic
def match_columns(*, price_list, columns, heading_row=None):
    """Say what the columns hold.

    Parameters
    ----------
    columns : dict
        {field: column from 0}; `price:pack`, `price:bulk_lb` or `price:pls_lb`, `break:10` for the price from ten
        packs on, `all:pack_lb`, `all:quoted_on` and `all:valid_until` as text for the whole list. It may be
        unfinished; the preview says what is missing.
    heading_row : int, optional
        From 0; another one starts the matching anew from its headings, `columns` left aside.

    Raises
    ------
    Refused
        A heading row that the list has not.
    Conflict
        The list is stored or set aside.
    """
    row = locked_list(price_list)
    check_matching(row)
    if heading_row is not None and heading_row != row.heading_row:
        if not 0 <= heading_row < len(row.table) - 1:
            refuse(
                "heading_row",
                f"Row {heading_row + 1} cannot be the headings; accepted is 1 to {len(row.table) - 1}.",
            )
        row.heading_row = heading_row
        row.columns = guessed_columns(headings_of(row.table, heading_row), row.supplier.list_columns)
    else:
        row.columns = columns
    row.save(update_fields=["heading_row", "columns"])
    return row


@transaction.atomic
def answer_names(*, property, answers):
    """Remember what lists and tags call a seed, for this list and all others.

    Parameters
    ----------
    answers : dict
        {name: Species, bought Blend, or None where it is no seed of the property's}.

    Raises
    ------
    Refused
        A species or blend of another property, or a blend mixed here; an empty or too long a name.
    """
    wanted = [thing.pk for thing in answers.values() if thing is not None and not isinstance(thing, Blend)]
    known = set(species_rows(property).filter(pk__in=wanted).values_list("pk", flat=True))
    for name, thing in answers.items():
        if not name_key(name) or len(name) > 200:
            refuse("names", f"“{name[:40]}” is no name; accepted are 1 to 200 characters.")
        is_blend = isinstance(thing, Blend)
        if is_blend and (thing.property_id != property.pk or not thing.is_bought):
            refuse("names", f"Blend {thing.pk} is not a bought mix of this property.")
        if thing is not None and not is_blend and thing.pk not in known:
            refuse("names", f"Species {thing.pk} is not in this property's list.")
        meaning = {"species": None if is_blend else thing, "blend": thing if is_blend else None}
        SeedName.objects.update_or_create(property=property, name=name_key(name), defaults=meaning)


@transaction.atomic
def set_list_aside(*, price_list, is_aside=True):
    """Lay a list aside of which nothing is stored, or take it up again.

    Raises
    ------
    Conflict
        The list is stored.
    """
    row = locked_list(price_list)
    if row.state == State.STORED:
        raise Conflict("The list is stored; take it back first.")
    row.state = State.SET_ASIDE if is_aside else State.MATCHING
    row.save(update_fields=["state"])
    return row


def locked_list(price_list):
    rows = PriceList.objects.select_for_update(of=("self",)).select_related("supplier", "property")
    return rows.get(pk=price_list.pk)


def check_matching(row):
    if row.state == State.STORED:
        raise Conflict("The list is stored already; take it back to change how it is read.")
    if row.state == State.SET_ASIDE:
        raise Conflict("The list is set aside; take it up again first.")
