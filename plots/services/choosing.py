"""What a person wants of a file's outlines, kept from page to page of the preview until they are stored.

Nothing is checked before it is stored: a name that is too long is kept to be mended. After the outlines have
been stored there is nothing left to choose, and what is still said changes nothing.
"""

from django.db import transaction

from plots.formats.attributes import clean_text
from plots.models import BoundaryImport, ImportedOutline, Plot

_NAME_ROOM = ImportedOutline._meta.get_field("name").max_length


@transaction.atomic
def keep_choices(*, boundary_import, choices):
    """Keep what was said about some outlines; the others stay as they are.

    Parameters
    ----------
    choices : dict
        By position {"name": str, "is_chosen": bool, "plot_id": int or None}. A plot that is not one of the
        property's is taken for none; positions that the file does not have are passed over.
    """
    outlines = _waiting(boundary_import)
    if not choices or outlines is None:
        return
    # positions of a page follow each other, and a list of thousands would be too long for a query
    outlines = outlines.filter(position__range=(min(choices), max(choices)))
    plots = set(Plot.objects.filter(property=boundary_import.property).values_list("pk", flat=True))
    kept = []
    for outline in outlines.only("position"):
        said = choices.get(outline.position)
        if said is not None:
            outline.name, outline.is_chosen = clean_text(said["name"])[:_NAME_ROOM], said["is_chosen"]
            outline.target_id = said["plot_id"] if said["plot_id"] in plots else None
            kept.append(outline)
    ImportedOutline.objects.bulk_update(kept, ["name", "is_chosen", "target"], batch_size=200)


@transaction.atomic
def choose_all(*, boundary_import, is_chosen):
    """Take every outline of the file, or leave every one out."""
    outlines = _waiting(boundary_import)
    if outlines is not None:
        outlines.update(is_chosen=is_chosen)


def _waiting(boundary_import):
    """The outlines, while the import waits to be accepted; the row is locked until the transaction ends."""
    row = BoundaryImport.objects.select_for_update().get(pk=boundary_import.pk)
    return row.outlines.all() if row.state == BoundaryImport.State.PREVIEW else None
