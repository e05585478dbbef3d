"""Nothing that has history is ever erased: no code of the site deletes a plot, a boundary or an overlap."""

import ast
from pathlib import Path

from django.db.models import PROTECT

from plots.models import Boundary, Plot

ROOT = Path(__file__).resolve().parent.parent.parent
# Everything that is deleted, by where, and why nothing of the record goes with it.
ALLOWED = {
    ("blends/services/blends.py", "blend.components.all()"): "of a blend that was never planted",
    ("blends/services/clippings.py", "clipping"): "what somebody clipped wrongly",
    ("blends/services/offers.py", "offer.breaks.all()"): "of an offer that no document names, typed anew",
    ("blends/services/lot_choices.py", "planting.chosen_lots.all()"): "lots planned for a plot, planned anew",
    (
        "blends/services/lot_choices.py",
        "PlantingLot.objects.filter(pk__in=ids[start:start + CHUNK])",
    ): "lots planned for plots that are not planted",
    (
        "blends/services/machines.py",
        "machine.seed_boxes.filter(species__in=back)",
    ): "a choice of box, back to the rule",
    ("blends/services/orders.py", "locked.orderlines.all()"): "derived figures, written anew",
    ("blends/services/purchase_drafts.py", "draft.lines.all()"): "of a draft that nobody has sent, made anew",
    (
        "blends/services/purchases.py",
        "line",
    ): "of which nothing came; once it was sent, its change says what it was",
    ("blends/services/sheet_papers.py", "default_storage"): "a PDF of sheets, which can be made anew",
    ("blends/services/seasons.py", "Planting.objects.filter(pk__in=ids)"): "plans that were taken back",
    (
        "blends/services/substitutions.py",
        "Substitution.objects.filter(order=order, species=species)",
    ): "a choice in an order; what was sown stands in the planting records",
    (
        "blends/services/tag_photos.py",
        "storage",
    ): "a photo that could not be named, so that nothing knows of it",
    ("plots/services/imports.py", "boundary_import"): "a file of which nothing was stored",
    ("plots/services/imports.py", "original"): "the file of such an import",
    ("plots/services/imports.py", "row.original"): "the file of such an import",
    ("plots/services/imports.py", "row.outlines.all()"): "a reading of a file, read again",
    ("plots/services/pictures.py", "picture"): "a picture of the ground, with its tiles",
    ("plots/services/people.py", "FirstOwnerLink.objects.filter(used_at__isnull=True)"): "a link",
    ("plots/services/people.py", "get_object_or_404(ApiToken, user=user, pk=token_id)"): "a token",
}


def deletions():
    """(path, what) of every `.delete()`."""
    for app in ("config", "plots", "blends", "fieldlog"):
        for path in sorted((ROOT / app).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                is_call = isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
                if is_call and node.func.attr == "delete" and "migrations" not in path.parts:
                    yield str(path.relative_to(ROOT)), ast.unparse(node.func.value)


def test_every_deletion_is_known_and_has_its_reason():
    """A new one is added above with why nothing of the record goes with it."""
    assert set(deletions()) == set(ALLOWED)


def test_the_database_keeps_a_boundary_that_something_points_to():
    """The plot's current one, plantings, walks and restored ones hold theirs."""
    assert Plot._meta.get_field("boundary").remote_field.on_delete is PROTECT
    assert Boundary._meta.get_field("restored_from").remote_field.on_delete is PROTECT
