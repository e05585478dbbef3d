"""The seed of a planting record: what was put in, what was left, what was used, and what was asked for."""

from decimal import Decimal, InvalidOperation

from blends.access import species_rows
from blends.calc.money import split_cents
from blends.models import Blend, RecordSeed
from blends.queries.lots import lots_of
from blends.queries.targets import targets_lb_per_acre
from config.errors import refuse

MOST_SEEDS = 60
_LB = Decimal("0.001")
_MOST_LB = Decimal("999999999.999")


def seeds_from(planting, given, hopper_left_lb=None, boxes_left_lb=None):
    """RecordSeed rows, not saved, of what was said.

    Parameters
    ----------
    planting : Planting
    given : list of dict
        One of `lot_id`, `species_id`, `blend_id`; `loaded_lb`, `left_lb`, `used_lb`, `box`. A lot is named once.
    hopper_left_lb : Decimal or None
        Left of the mix as a whole; shared among the seed of which nothing else is said by what was put in, to a
        thousandth of a pound by largest remainder. [bulk lb]
    boxes_left_lb : dict or None
        The same by box, for the lines that name that `box`. [bulk lb]

    Raises
    ------
    Refused
        Seed of another property, named twice, or of which it cannot be told what was used.
    """
    if len(given) > MOST_SEEDS:
        refuse("seeds", f"{len(given)} lines of seed; at most {MOST_SEEDS} are accepted.")
    rows = [_row(planting, position, line) for position, line in enumerate(given)]
    _check_named_once(rows)
    _check_things(planting, rows)
    if hopper_left_lb is not None:
        _share_hopper(rows, "hopper_left_lb", _pounds("hopper_left_lb", "left in the hopper", hopper_left_lb))
    for box, left_lb in (boxes_left_lb or {}).items():
        if left_lb is None:
            continue
        in_box = [row for row, line in zip(rows, given, strict=True) if line.get("box") == box]
        field = f"boxes_left_lb.{box}"
        _share_hopper(in_box, field, _pounds(field, "left in the box", left_lb))
    for position, row in enumerate(rows):
        _work_out_used(position, row)
    for row, target in zip(rows, targets_lb_per_acre(planting, rows), strict=True):
        row.target_lb_per_acre = target
    return rows


def said_of(row):
    """What a line says, to be compared."""
    pounds = (row.loaded_lb, row.left_lb, row.used_lb)
    return (
        (row.lot_id, row.species_id, row.blend_id),
        *(None if lb is None else Decimal(lb).quantize(_LB) for lb in pounds),
    )


def as_given(row):
    """A stored line as `seeds_from` takes it."""
    thing = {"lot_id": row.lot_id} if row.lot_id else {"species_id": row.species_id, "blend_id": row.blend_id}
    return thing | {"loaded_lb": row.loaded_lb, "left_lb": row.left_lb, "used_lb": row.used_lb}


def _row(planting, position, line):
    named = {name: line.get(name) for name in ("lot_id", "species_id", "blend_id")}
    chosen = [name for name, value in named.items() if value is not None]
    if len(chosen) != 1:
        refuse(
            f"seeds.{position}.lot_id", "Say which seed this was: a lot, or a species or mix without its lot."
        )
    row = RecordSeed(**named)
    for name, words in (("loaded_lb", "put in"), ("left_lb", "left"), ("used_lb", "used")):
        value = line.get(name)
        setattr(row, name, None if value is None else _pounds(f"seeds.{position}.{name}", words, value))
    return row


def _check_named_once(rows):
    seen = set()
    for position, row in enumerate(rows):
        thing = (row.lot_id, row.species_id, row.blend_id)
        if thing in seen:
            refuse(
                f"seeds.{position}.lot_id", "This seed is named twice; give its pounds together in one line."
            )
        seen.add(thing)


def _share_hopper(rows, field, left_lb):
    open_rows = [
        row for row in rows if row.loaded_lb is not None and row.left_lb is None and row.used_lb is None
    ]
    if not open_rows:
        refuse(
            field,
            f"{left_lb.normalize():f} lb were left in the hopper, and no seed says what was put in and lacks what was "
            "left; give the pounds that were put in, or leave this empty.",
        )
    loaded_lb = sum(row.loaded_lb for row in open_rows)
    if left_lb > loaded_lb:
        refuse(
            field,
            f"{left_lb.normalize():f} lb were left and {loaded_lb.normalize():f} lb put in; accepted is no more than "
            "was put in.",
        )
    shares = split_cents(int(left_lb / _LB), [int(row.loaded_lb / _LB) for row in open_rows])
    for row, share in zip(open_rows, shares, strict=True):
        row.left_lb = int(share) * _LB


def _work_out_used(position, row):
    if row.loaded_lb is not None and row.left_lb is not None:
        if row.left_lb > row.loaded_lb:
            refuse(
                f"seeds.{position}.left_lb",
                f"{row.left_lb.normalize():f} lb were left and {row.loaded_lb.normalize():f} lb put in; accepted is "
                "no more than was put in.",
            )
        used_lb = row.loaded_lb - row.left_lb
        if row.used_lb is not None and row.used_lb != used_lb:
            refuse(
                f"seeds.{position}.used_lb",
                f"{row.used_lb.normalize():f} lb are given as used, and put in less left is {used_lb.normalize():f} "
                "lb; leave one of the three empty or let them agree.",
            )
        row.used_lb = used_lb
    if row.used_lb is None:
        refuse(
            f"seeds.{position}.used_lb",
            "How much was used is not told: give what was put in and what was left (0 when it ran empty), or what "
            "was used.",
        )


def _check_things(planting, rows):
    """Find what the lines name, and give a lot's line what the lot is of."""
    property = planting.season.property
    lots = lots_of(property).in_bulk([row.lot_id for row in rows if row.lot_id])
    species = species_rows(property).in_bulk([row.species_id for row in rows if row.species_id])
    blends = Blend.objects.filter(property=property, kind=Blend.Kind.BOUGHT).in_bulk(
        [row.blend_id for row in rows if row.blend_id]
    )
    for position, row in enumerate(rows):
        if row.lot_id:
            if row.lot_id not in lots:
                refuse(f"seeds.{position}.lot_id", f"Lot {row.lot_id} is not a lot of this property.")
            row.lot = lots[row.lot_id]
            row.species_id, row.blend_id = row.lot.species_id, row.lot.blend_id
        elif row.species_id and row.species_id not in species:
            refuse(
                f"seeds.{position}.species_id", f"Species {row.species_id} is not in this property's list."
            )
        elif row.blend_id and row.blend_id not in blends:
            refuse(
                f"seeds.{position}.blend_id", f"Blend {row.blend_id} is not a bought mix of this property."
            )


def _pounds(field, words, value):
    try:
        lb = Decimal(str(value)).quantize(_LB)
    except InvalidOperation:
        lb = Decimal("NaN")
    if not 0 <= lb <= _MOST_LB:
        refuse(field, f"{value} lb {words}; accepted is a number of pounds of 0 or more.")
    return lb
