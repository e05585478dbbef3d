"""What a person says of a termination, read into rows and checked.

Nothing here recommends a product or fills one in. Rates and intervals are what somebody read on the label.
"""

from datetime import timedelta
from decimal import Decimal

from django.utils import timezone

from blends.models import SprayedProduct, Termination
from blends.services.field_entries import CLOCK_AHEAD, check_columns, check_day, fill
from config.errors import Refused, refuse

SPRAYED = ("sprayed_until", "applicator_licence")
SAID = (
    "method", "done_on", "acres", "stage", "dry_g", "frames", "frame_ft2", "operator", "weather", "follow_up",
    "follow_up_on", *SPRAYED, "note",
)  # fmt: skip
"""Columns that a person says, besides the products."""

PRODUCT = (
    "name", "registration_number", "rate", "rate_unit", "reentry_h", "grazing_days", "planting_days",
)  # fmt: skip
MOST_PRODUCTS = 12
LONGEST_INTERVAL_DAYS = 3660  # ten years: a number beyond it is a slip of the finger
LONGEST_REENTRY_H = 24 * 60


def termination_from(planting, user, said, products):
    """A termination and its products, not saved, of what was said.

    Raises
    ------
    Refused
        With the column in `fields`.
    """
    check_day(said.get("done_on"), "done_on", "the stand was ended")
    method = said.get("method")
    if method not in Termination.Method.values:
        accepted = ", ".join(Termination.Method.values)
        refuse(
            "method", f"The method is {f'“{method}”' if method else 'not given'}; accepted are {accepted}."
        )
    row = fill(Termination(planting=planting, created_by=user), said, SAID)
    check_columns(row)
    if row.stage and row.stage not in Termination.Stage.values:
        refuse("stage", f"The stage is “{row.stage}”; accepted are {', '.join(Termination.Stage.values)}.")
    _check_clipped(row)
    if row.follow_up_on is not None and not row.follow_up:
        refuse("follow_up", f"Something is to follow by {row.follow_up_on}; say what.")
    if row.follow_up_on is not None and row.follow_up_on < row.done_on:
        refuse("follow_up_on", f"{row.follow_up_on} is before the termination on {row.done_on}; accepted is that day "
               "or a later one.")  # fmt: skip
    if row.method == Termination.Method.HERBICIDE:
        _check_sprayed(row, products)
    elif products or any(getattr(row, name) for name in SPRAYED):
        refuse(
            "method",
            f"A product or the end of spraying is given and the method is {row.get_method_display().lower()}; with "
            "these the method is herbicide.",
        )
    return row, [_product(place, given) for place, given in enumerate(products)]


def _check_clipped(row):
    given = [name for name in ("dry_g", "frames", "frame_ft2") if getattr(row, name) is not None]
    if given and len(given) < 3:
        missing = next(name for name in ("dry_g", "frames", "frame_ft2") if name not in given)
        refuse(missing, "Dry matter an acre needs the dry weight, how many frames were clipped and the ground inside "
               "one; give all three or none.")  # fmt: skip


def _check_sprayed(row, products):
    if not products:
        refuse(
            "products",
            "A herbicide needs its product, with the registration number and intervals of its label.",
        )
    if len(products) > MOST_PRODUCTS:
        refuse("products", f"{len(products)} products; at most {MOST_PRODUCTS} are accepted.")
    if row.sprayed_until is None:
        refuse("sprayed_until", "Say when spraying ended: the label's intervals count from then.")
    if row.sprayed_until > timezone.now() + CLOCK_AHEAD:
        refuse("sprayed_until", f"Spraying ended at {_moment(row.sprayed_until)}, which is still to come.")
    day = timezone.localtime(row.sprayed_until).date()
    if not row.done_on <= day <= row.done_on + timedelta(days=1):
        refuse(
            "sprayed_until",
            f"Spraying ended at {_moment(row.sprayed_until)} and was done on {row.done_on}; accepted is that day, or "
            "the night after it.",
        )


def _product(place, given):
    row = SprayedProduct()
    fill(row, given, PRODUCT)
    needed = {
        "name": "the product's name",
        "registration_number": "the registration number on the label",
        "rate": "the rate an acre",
        "rate_unit": "the unit of the rate",
        "reentry_h": "the label's re-entry interval",
    }
    for name, words in needed.items():
        if getattr(row, name) in (None, ""):
            refuse(f"products.{place}.{name}", f"Product {place + 1}: {words} is needed.")
    limits = {
        "grazing_days": LONGEST_INTERVAL_DAYS,
        "planting_days": LONGEST_INTERVAL_DAYS,
        "reentry_h": LONGEST_REENTRY_H,
    }
    for name, most in limits.items():
        value = getattr(row, name)
        if isinstance(value, int | Decimal) and value > most:
            unit = "hours" if name == "reentry_h" else "days"
            refuse(f"products.{place}.{name}", f"{row.name}: {value} {unit}; at most {most:,} are accepted.")
    try:
        check_columns(row, but=("id", "termination"))
    except Refused as error:
        error.fields = {f"products.{place}.{name}": texts for name, texts in error.fields.items()}
        raise
    return row


def _moment(value):
    return f"{timezone.localtime(value):%Y-%m-%d %H:%M}"
