"""Clippings: what a stand weighed, which goes before the table's dry matter."""

from django.db import transaction
from django.utils import timezone

from blends.models import Clipping
from config.errors import refuse
from plots.services.rows import save_clean


@transaction.atomic
def record_clipping(
    *, blend, user, species_id, stage, clipped_on, frames, frame_ft2, dry_g, wet_g=None, plot=None
):
    """Record one species of a stand, clipped inside frames, dried and weighed.

    Parameters
    ----------
    blend : Blend
    user : User
    species_id : int
        One of the blend's species.
    stage : str
        Clipping.Stage.
    clipped_on : date
        Today at the latest.
    frames : int
        All that were laid, those with nothing in them too.
    frame_ft2 : Decimal
        Ground inside one frame. [ft²]
    dry_g, wet_g : Decimal
        Of all frames together, without the bag; fresh weight may be left out. [g]
    plot : Plot or None

    Returns
    -------
    Clipping

    Raises
    ------
    Refused
        A value that cannot be used, a species that is not in the blend, another property's plot.
    """
    names = dict(blend.components.values_list("species", "species__common_name"))
    if species_id not in names:
        refuse("species_id", f"Species {species_id} is not in {blend}; accepted are {_listed(names)}.")
    if plot is not None and plot.property_id != blend.property_id:
        refuse("plot", "This plot belongs to another property.")
    if clipped_on is not None and clipped_on > timezone.localdate():
        refuse(
            "clipped_on",
            f"Clipped on is {clipped_on}, which is still to come; accepted is today at the latest.",
        )
    if wet_g is not None and dry_g is not None and dry_g > wet_g:
        refuse(
            "dry_g",
            f"Dry weight is {dry_g:f} g and fresh weight {wet_g:f} g; accepted is a dry weight that is not above "
            "the fresh one.",
        )
    row = Clipping(
        blend=blend,
        species_id=species_id,
        plot=plot,
        stage=stage,
        clipped_on=clipped_on,
        frames=frames,
        frame_ft2=frame_ft2,
        dry_g=dry_g,
        wet_g=wet_g,
        created_by=user,
    )
    return save_clean(row)


@transaction.atomic
def delete_clipping(*, clipping):
    """Take a clipping away; the table's dry matter, or an earlier clipping, counts again."""
    clipping.delete()


def _listed(names):
    return ", ".join(names.values()) or "none, since the blend has no species yet"
