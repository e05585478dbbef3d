"""Reads of walks, and what is said of one."""

from plots.calc.track import Use
from plots.calc.units import m_to_ft
from plots.models import Walk


def walks_for(property):
    """The property's walks, the latest first, their fixes left in the database."""
    return (
        Walk.objects.filter(property=property)
        .select_related("plot", "boundary", "created_by")
        .defer("fixes", "boundary__geometry", "plot__notes")
    )


def figures_of(walked):
    """What a walk comes to, as plain values."""
    count = {use.name.lower(): int((walked.uses == use).sum()) for use in Use}
    return {
        "acres": walked.acres,
        "margin_acres": walked.margin_acres,
        "perimeter_m": walked.perimeter_m,
        "perimeter_ft": m_to_ft(walked.perimeter_m),
        "accuracy_m": walked.accuracy_m,
        "accuracy_ft": m_to_ft(walked.accuracy_m),
        "gap_m": walked.gap_m,
        "corners": walked.corners,
        "used": count["used"],
        "left_out_worse": count["worse"],
        "left_out_jumped": count["jumped"],
        "left_out_still": count["still"],
        "notes": walked.notes,
    }
