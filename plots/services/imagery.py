"""Which pictures of the ground lie under a property's outlines, from another server."""

from django.db import transaction

from config.errors import Refused
from config.imagery import read_address
from plots.models import Property
from plots.services.rows import save_clean

FIELDS = ["imagery_kind", "imagery_address", "imagery_credit", "imagery_zoom"]


@transaction.atomic
def set_imagery(*, property, kind, address="", credit="", zoom=None):
    """Name the property's imagery.

    Parameters
    ----------
    kind : str
        'xyz' or 'wmts', with address, credit and zoom; 'none' for no pictures; empty for the installation's.
    address : str
        As config.imagery.read_address takes it.
    credit : str
        The words that its provider asks for.
    zoom : int or None
        The nearest that it has pictures for.

    Raises
    ------
    Refused
        `fields` has 'kind', 'address', 'credit' and 'zoom'.
    """
    default = Property._meta.get_field("imagery_zoom").default
    if kind in (Property.Imagery.XYZ, Property.Imagery.WMTS):
        address, credit = address.strip(), " ".join(credit.split())
        _check(kind, address, credit, zoom)
    else:
        address, credit, zoom = "", "", default
    property.imagery_kind, property.imagery_address = kind, address
    property.imagery_credit, property.imagery_zoom = credit, zoom
    return save_clean(property, update_fields=FIELDS)


def _check(kind, address, credit, zoom):
    found = {}
    if not address:
        found["address"] = ["The address is missing; without one choose that no pictures are shown."]
    else:
        try:
            read_address(address, is_wmts=kind == Property.Imagery.WMTS)
        except ValueError as error:
            found["address"] = [str(error)]
    if not credit:
        found["credit"] = [
            "The credit is missing; give the words that the provider of the pictures asks for."
        ]
    longest = Property._meta.get_field("imagery_credit").max_length
    if len(credit) > longest:
        found["credit"] = [f"The credit has {len(credit)} characters; at most {longest} are accepted."]
    if zoom is None or not 1 <= zoom <= 22:
        found["zoom"] = [f"The nearest zoom is {'missing' if zoom is None else zoom}; accepted is 1 to 22."]
    if found:
        raise Refused(" ".join(text for texts in found.values() for text in texts), fields=found)
