"""What an offer may say, and the price of a pack that follows from it."""

from decimal import Decimal

from django.core.exceptions import ValidationError

from blends.access import species_rows
from blends.calc.pack_price import live_share, pack_price_usd, what_is_wrong_with_breaks
from blends.models import Offer, PriceBreak
from config.errors import Refused, refuse, refused_from

TAG_FIELDS = (
    "purity_pct",
    "germination_pct",
    "hard_pct",
    "dormant_pct",
    "other_crop_pct",
    "weed_seed_pct",
    "inert_pct",
    "noxious",
    "test_month",
    "origin",
    "treatment",
)
OFFER_FIELDS = (
    "supplier",
    "species",
    "blend",
    "variety",
    "pack_lb",
    "quoted_per",
    "quoted_usd",
    "price_usd",
    "least_packs",
    "most_packs",
    *TAG_FIELDS,
    "quoted_on",
    "valid_until",
)
PARTS = ("purity_pct", "other_crop_pct", "weed_seed_pct", "inert_pct")
"""What the seed consists of by weight; where all of them are known they make 100 %."""
SCALARS = [name for name in OFFER_FIELDS if name not in ("supplier", "species", "blend", "price_usd")]


def check_offer(property, offer, breaks=(), species_ids=None):
    """Work out the prices of an offer, and refuse what no offer can say.

    Parameters
    ----------
    species_ids : set of int, optional
        Those of the property's list, where many offers are checked at once.

    Raises
    ------
    Refused
    """
    _check_whose(property, offer, species_ids)
    _check_figures(offer)
    _check_tag(offer)
    if offer.quoted_per == Offer.QuotedPer.PLS_LB:
        if offer.blend_id is not None:
            refuse(
                "quoted_per",
                "A bought mix is sown and bought by the bulk pound; accepted are prices by the pack or the bulk pound.",
            )
        if _live(offer) is None:
            refuse(
                "quoted_per",
                "A price by the PLS pound needs the tag: say pure seed and germination, or quote it by the pack.",
            )
    offer.price_usd = pack_price_of(offer, offer.quoted_usd)
    _check_breaks(offer, breaks)


def _check_whose(property, offer, species_ids):
    if offer.supplier_id is not None:
        if offer.supplier.property_id != property.pk:
            refuse("supplier", f"Supplier {offer.supplier_id} is not one of this property.")
        if offer.supplier.is_archived and offer.pk is None:
            refuse("supplier", f"{offer.supplier} is archived; bring it back first, or name another.")
    if offer.species_id is not None:
        is_known = (
            species_rows(property).filter(pk=offer.species_id).exists()
            if species_ids is None
            else offer.species_id in species_ids
        )
        if not is_known:
            refuse("species", f"Species {offer.species_id} is not in this property's list.")
    if offer.blend_id is not None:
        if offer.blend.property_id != property.pk:
            refuse("blend", f"Blend {offer.blend_id} is not one of this property.")
        if not offer.blend.is_bought:
            refuse("blend", f"{offer.blend} is mixed here; an offer is for a species or for a bought mix.")
    if (offer.species_id is None) == (offer.blend_id is None):
        refuse("species", "An offer is for one thing: a species, or a bought mix.")


def _check_figures(offer):
    """What a price is worked out from has to be a number within its column's bounds before it is."""
    if offer.quoted_usd is None:
        refuse("quoted_usd", "The price is missing; accepted is a number of 0 or more.")
    try:
        offer.clean_fields(exclude=[each.name for each in Offer._meta.fields if each.name not in SCALARS])
    except ValidationError as error:
        raise refused_from(error) from error
    if offer.quoted_on and offer.valid_until and offer.valid_until < offer.quoted_on:
        refuse(
            "valid_until",
            f"Valid until {offer.valid_until}, which is before it was quoted on {offer.quoted_on}.",
        )
    if offer.most_packs is not None and offer.most_packs < offer.least_packs:
        refuse(
            "least_packs",
            f"The fewest packs are {offer.least_packs}, and {offer.most_packs} are to be had; "
            "accepted is no more than there are.",
        )


def _check_tag(offer):
    for name in ("purity_pct", "germination_pct"):
        if getattr(offer, name) == 0:
            label = Offer._meta.get_field(name).verbose_name
            refuse(name, f"{label} is 0; accepted is above 0 to 100, or nothing where the tag is not known.")
    alive_pct = sum(getattr(offer, f"{what}_pct") or 0 for what in ("germination", "hard", "dormant"))
    if alive_pct > 100:
        refuse(
            "germination_pct",
            f"Germination, hard and dormant seed add up to {alive_pct.normalize():f} %; accepted is 100 % at most.",
        )
    parts_pct = sum(getattr(offer, name) or 0 for name in PARTS)
    if parts_pct > 100:
        refuse(
            "purity_pct",
            f"Pure seed, other crop, weed seed and inert matter add up to {parts_pct.normalize():f} %; "
            "accepted is 100 % at most.",
        )


def _check_breaks(offer, breaks):
    column = PriceBreak._meta.get_field("quoted_usd")
    numbers = PriceBreak._meta.get_field("from_packs")
    try:
        read = [
            (numbers.clean(each["from_packs"], None), column.clean(each["quoted_usd"], None))
            for each in breaks
        ]
    except ValidationError as error:
        refuse("breaks", f"A price break cannot be used. {' '.join(error.messages)}")
    wrong = what_is_wrong_with_breaks(offer.quoted_usd, read)
    if wrong:
        sentences = [sentence for _, sentence in wrong]
        raise Refused(" ".join(sentences), fields={"breaks": sentences})


def _live(offer):
    return live_share(offer.purity_pct, offer.germination_pct, offer.hard_pct, offer.dormant_pct)


def pack_price_of(offer, quoted_usd):
    return pack_price_usd(offer.quoted_per, Decimal(quoted_usd), offer.pack_lb, _live(offer))
