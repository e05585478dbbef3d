"""Reads of what is known of the ground besides its boundaries, always starting from a property."""

from plots.geojson import as_stored, collection_text, compact
from plots.models import Landmark, SoilTest

MOST_ON_A_MAP = 500  # more could not be told apart


def soil_tests_for(property, plot_ids=None):
    """Every soil test of the property with its plot, the latest first, struck ones too."""
    tests = SoilTest.objects.filter(plot__property=property).select_related("plot", "created_by")
    if plot_ids is not None:
        tests = tests.filter(plot_id__in=plot_ids)
    return tests.defer("plot__notes")


def soil_tests_of(plot):
    """The plot's soil tests, the latest first, struck ones too."""
    return plot.soil_tests.select_related("created_by")


def landmarks_for(property, *, bbox=None, archived=False):
    """The property's landmarks with who added them, by kind and name.

    Parameters
    ----------
    bbox : tuple of float, optional
        (west, south, east, north): only those whose extent meets it. [degrees]
    archived : bool
        Those that were set aside instead.
    """
    landmarks = Landmark.objects.filter(property=property, is_archived=archived).select_related("created_by")
    return landmarks if bbox is None else landmarks.filter(geometry__bbox=bbox)


def landmarks_text(property, bbox, href_of):
    """The landmarks that a map shows, as the text of a GeoJSON FeatureCollection.

    Properties of each feature: `id`, `kind`, `title` (its name, else its kind), `words` (the kind), `note`, `href`.
    Members: `is_all`, whether the property has no others, and `left_out`, how many in the box are one too many.

    Parameters
    ----------
    bbox : tuple of float or None
    href_of : callable
        Id to the address of its page; None for no page.
    """
    rows = list(landmarks_for(property, bbox=bbox)[: MOST_ON_A_MAP + 1])
    left_out = 0
    if len(rows) > MOST_ON_A_MAP:
        left_out = landmarks_for(property, bbox=bbox).count() - MOST_ON_A_MAP
    shown = rows[:MOST_ON_A_MAP]
    facts = [
        compact(
            {
                "id": row.pk,
                "kind": row.kind,
                "title": str(row),
                "words": row.get_kind_display(),
                "note": row.note,
                "href": href_of(row),
            }
        )
        for row in shown
    ]
    is_all = not left_out and (bbox is None or len(shown) == landmarks_for(property).count())
    return collection_text(
        as_stored([row.geometry for row in shown]),
        facts,
        ids=[row.pk for row in shown],
        members={"is_all": is_all, "left_out": left_out},
    )
