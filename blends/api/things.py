"""Rows that the body of a request names by their ids."""

from blends.access import species_rows
from blends.models import Blend, Offer, Supplier
from config.errors import refuse


def things_named(property, values):
    """The rows that a body names by id, of the property alone; other people's are as if not there.

    Parameters
    ----------
    property : Property
    values : dict
        `supplier_id`, `species_id`, `blend_id`, `offer_id`; what is left out is not in the answer, None is None.

    Raises
    ------
    Refused
        An id that the property has not.
    """
    rows = {
        "supplier": Supplier.objects.filter(property=property),
        "species": species_rows(property),
        "blend": Blend.objects.filter(property=property),
        "offer": Offer.objects.filter(property=property),
    }
    found = {}
    for name, candidates in rows.items():
        row_id = values.get(f"{name}_id")
        if f"{name}_id" not in values:
            continue
        found[name] = None if row_id is None else candidates.filter(pk=row_id).first()
        if row_id is not None and found[name] is None:
            refuse(f"{name}_id", f"{name.capitalize()} {row_id} is not one that this property has.")
    return found
