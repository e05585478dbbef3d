"""Blends and their versions."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction

from blends.access import species_rows
from blends.models import Blend, Component, OrderChoice, Planting, SeedOrder
from blends.queries.versions import version_ids
from blends.services.stale import mark_orders_stale, mark_stale
from config.errors import Conflict, Refused, refuse
from plots.services.rows import save_clean

TINTS = 8  # colours in the stylesheet's palette
MIXED_FIELDS = ("drilled_pls_lb_per_acre", "broadcast_pls_lb_per_acre")
BOUGHT_FIELDS = ("tag_pct_by_weight", "tag_germination_pct")
BAG_FIELDS = ("drilled_bulk_lb_per_acre", "broadcast_bulk_lb_per_acre")


@transaction.atomic
def save_blend(
    *,
    property,
    user,
    name,
    kind,
    components,
    blend=None,
    notes="",
    mark="",
    drilled_bulk_lb_per_acre=None,
    broadcast_bulk_lb_per_acre=None,
):
    """Make a blend, or change one. A blend that has been planted is left as it is: a next version is made.

    Parameters
    ----------
    property : Property
    user : User
    blend : Blend or None
        The blend to change; None makes a new one.
    kind : str
        Blend.Kind.
    components : list of dict
        `species_id`, and for a blend mixed here `drilled_pls_lb_per_acre`, `broadcast_pls_lb_per_acre`
        [PLS lb/ac], for one bought mixed `tag_pct_by_weight`, `tag_germination_pct` [%]; None is unknown.
    mark : str
        Up to three characters; made from the name when empty.
    drilled_bulk_lb_per_acre, broadcast_bulk_lb_per_acre : Decimal or None
        Bought mixed only. [bulk lb/ac]

    Returns
    -------
    Blend
        The changed blend, or the new version. Plantings that are still planned have moved to it, and so
        have the offers chosen for it in their orders when it is bought mixed.

    Raises
    ------
    Refused
        A value that cannot be used, another property's blend or species, a name that is taken.
    Conflict
        The blend has a newer version.
    """
    if blend is not None:
        if blend.property_id != property.pk:
            raise Refused("This blend belongs to another property.")
        blend = _latest_for_change(blend)
    wanted = Blend(property=property, name=name.strip(), kind=kind, notes=notes, created_by=user)
    if wanted.is_bought:
        wanted.drilled_bulk_lb_per_acre = drilled_bulk_lb_per_acre
        wanted.broadcast_bulk_lb_per_acre = broadcast_bulk_lb_per_acre
    wanted.mark = mark.strip() or (blend.mark if blend else _mark(wanted.name))
    _refuse_taken_name(property, wanted.name, blend)
    rows = _components(property, wanted, components)

    if blend is None:
        wanted.tint = Blend.objects.filter(property=property, previous=None).count() % TINTS
        return _stored(wanted, rows)
    if not blend.plantings.exclude(state=Planting.State.PLANNED).exists():
        return _edited(blend, wanted, rows)
    return _next_version(blend, wanted, rows)


@transaction.atomic
def copy_blend(*, blend, user, name):
    """A new blend with the same components under another name."""
    fields = ("species_id", *MIXED_FIELDS, *BOUGHT_FIELDS)
    return save_blend(
        property=blend.property,
        user=user,
        name=name,
        kind=blend.kind,
        notes=blend.notes,
        components=list(blend.components.values(*fields)),
        drilled_bulk_lb_per_acre=blend.drilled_bulk_lb_per_acre,
        broadcast_bulk_lb_per_acre=blend.broadcast_bulk_lb_per_acre,
    )


@transaction.atomic
def new_version(*, blend, user):
    """A next version that is still the same, to be changed; the blend stays as it is, planted or not.

    Returns
    -------
    Blend
        The new version. Plantings that are still planned have moved to it, as after `save_blend`.

    Raises
    ------
    Conflict
        The blend has a newer version.
    """
    blend = _latest_for_change(blend)
    wanted = Blend(property=blend.property, created_by=user)
    for field in _OWN_FIELDS:
        setattr(wanted, field, getattr(blend, field))
    fields = ("species_id", "position", *MIXED_FIELDS, *BOUGHT_FIELDS)
    rows = [Component(**values) for values in blend.components.values(*fields)]
    return _version_after(blend, wanted, rows)


@transaction.atomic
def archive_blend(*, blend):
    """Put a blend away: it stays on its plantings and is not offered for new ones."""
    Blend.objects.filter(pk=blend.pk).update(is_archived=True)
    blend.is_archived = True


@transaction.atomic
def restore_blend(*, blend):
    Blend.objects.filter(pk=blend.pk).update(is_archived=False)
    blend.is_archived = False


def _latest_for_change(blend):
    blend = Blend.objects.select_for_update().get(pk=blend.pk)  # planting it at the same time waits
    if hasattr(blend, "next"):
        raise Conflict(f"{blend} has been followed by version {blend.next.version}; change that one.")
    return blend


def _mark(name):
    words = [word for word in name.split() if word[0].isalnum()]
    letters = "".join(word[0] for word in words) if len(words) > 1 else name
    return letters[:2].upper()


def _refuse_taken_name(property, name, blend):
    taken = Blend.objects.filter(property=property, name__iexact=name)
    if blend is not None:
        taken = taken.exclude(pk__in=version_ids(property, [blend])[blend.pk])
    if taken.exists():
        sentence = f"Another blend of this property is called “{name}”."
        raise Refused(sentence, fields={"name": [sentence]})


def _components(property, blend, given):
    """Unsaved, checked Component rows in the order given."""
    names = dict(species_rows(property).values_list("pk", "common_name"))
    fields = BOUGHT_FIELDS if blend.is_bought else MIXED_FIELDS
    rows, seen = [], set()
    for position, values in enumerate(given):
        at = f"components.{position}"
        species_id = values.get("species_id")
        if species_id not in names:
            refuse(f"{at}.species_id", f"Species {species_id} is not in this property's list.")
        if species_id in seen:
            refuse(f"{at}.species_id", f"{names[species_id]} is in the blend twice; once is accepted.")
        seen.add(species_id)
        row = Component(species_id=species_id, position=position)
        for field in fields:
            setattr(row, field, values.get(field))
        try:
            row.clean_fields(exclude=["blend", "species"])
        except ValidationError as error:
            for field, texts in error.message_dict.items():
                label = Component._meta.get_field(field).verbose_name
                sentence = f"{names[species_id]}, {label}, is “{_typed(values[field])}”: {' '.join(texts)}"
                refuse(f"{at}.{field}", sentence)
        rows.append(row)
    tag_pct = sum(row.tag_pct_by_weight or Decimal(0) for row in rows)
    if tag_pct > 100:
        refuse("components", f"The shares of the bag add up to {tag_pct} %; accepted is 100 % at most.")
    return rows


def _typed(value):
    return f"{value.normalize():f}" if isinstance(value, Decimal) else value


def _stored(blend, rows):
    save_clean(blend)
    for row in rows:
        row.blend = blend
    Component.objects.bulk_create(rows)
    return blend


_OWN_FIELDS = ("name", "kind", "notes", "mark", *BAG_FIELDS)


def _edited(blend, wanted, rows):
    for field in _OWN_FIELDS:
        setattr(blend, field, getattr(wanted, field))
    blend.components.all().delete()
    _stored(blend, rows)
    mark_orders_stale(season__plantings__blend=blend)
    return blend


def _next_version(blend, wanted, rows):
    if _content(wanted, rows) == _content(blend, blend.components.all()):
        return blend
    return _version_after(blend, wanted, rows)


def _version_after(blend, wanted, rows):
    wanted.version = blend.version + 1
    wanted.previous = blend
    wanted.tint = blend.tint
    _stored(wanted, rows)
    planned = Planting.objects.filter(blend=blend, state=Planting.State.PLANNED)
    order_ids = list(
        SeedOrder.objects.filter(season__plantings__in=planned).values_list("pk", flat=True).distinct()
    )
    planned.update(blend=wanted)
    for choice in OrderChoice.objects.filter(order__in=order_ids, blend=blend):
        OrderChoice.objects.create(
            order_id=choice.order_id, blend=wanted, offer=choice.offer, on_hand_lb=choice.on_hand_lb
        )
    mark_stale(order_ids)
    return wanted


def _content(blend, rows):
    fields = ("species_id", *MIXED_FIELDS, *BOUGHT_FIELDS)
    return (
        [getattr(blend, field) for field in _OWN_FIELDS],
        [[getattr(row, field) for field in fields] for row in rows],
    )
