"""Inoculant that the property has, by the group of legumes that it is for, and how long it is good."""

from datetime import timedelta

from blends.models import InoculantLot
from blends.queries.species import species_facts

SOON_DAYS = 30  # ours


def inoculants_of(property):
    """All of them, those that expire first first; each with who entered it."""
    return InoculantLot.objects.filter(property=property).select_related("created_by")


def inoculants_for(property, groups, on):
    """What there is for each group on a day; one query.

    Parameters
    ----------
    property : Property
    groups : iterable of str
        Values of a species' `inoculant_group`.
    on : date

    Returns
    -------
    dict
        Group: [InoculantLot], what expires first first and what is expired last, each with what `mark` gives it. A
        group without any has an empty list. What had not come yet or was used up by then is left out.
    """
    found = {group: [] for group in groups}
    for row in InoculantLot.objects.filter(property=property, inoculant_group__in=found, received_on__lte=on):
        if row.used_up_on is None or row.used_up_on >= on:
            found[row.inoculant_group].append(mark(row, on))
    for rows in found.values():
        rows.sort(key=lambda row: row.is_expired)
    return found


def mark(row, on):
    """The row with `is_expired`, `expires_soon` (within 30 days), `is_date_unknown` and `days_left` on that day.

    It is good through its expiry date.
    """
    row.days_left = None if row.expires_on is None else (row.expires_on - on).days
    row.is_date_unknown = row.expires_on is None
    row.is_expired = row.expires_on is not None and row.expires_on < on
    row.expires_soon = (
        row.expires_on is not None and not row.is_expired and row.expires_on <= on + timedelta(days=SOON_DAYS)
    )
    return row


def groups_known(property):
    """{group: [names of the species it is for]}, in the order of the groups; own values of the property first."""
    groups = {}
    for facts in species_facts(property):
        group = facts.inoculant_group.value
        if group:
            groups.setdefault(group, []).append(facts.species.common_name)
    return dict(sorted(groups.items()))
