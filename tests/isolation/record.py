"""The record of boundaries, and overlaps."""

from shapely.geometry import MultiPolygon, box

from plots.models import Boundary, Overlap, Plot
from tests.isolation import EDITORS, MEMBERS, Row

OUTLINE = MultiPolygon([box(-92, 38, -91.999, 38.001)])

ROWS = [
    Row("api-boundary-record", "GET", MEMBERS, named={"plot_id": "recorded_id"}),
    Row(
        "api-boundary-compare",
        "GET",
        MEMBERS,
        named={"plot_id": "recorded_id"},
        query="?first={boundary_id}&second={current_id}",
    ),
    Row("api-boundary-of-record", "GET", MEMBERS, named={"plot_id": "recorded_id"}),
    Row("api-boundary-restore", "POST", EDITORS, 201, named={"plot_id": "recorded_id"}),
    Row("boundary-history", "GET", MEMBERS, named={"plot_id": "recorded_id"}),
    # The form says what is missing.
    Row("boundary-history", "POST", EDITORS, named={"plot_id": "recorded_id"}),
    Row("overlaps", "GET", MEMBERS),
    Row("overlaps", "POST", EDITORS, 302),
    Row("overlaps-map", "GET", MEMBERS),
    Row("api-overlaps", "GET", MEMBERS),
    Row("api-overlaps-mend", "POST", EDITORS),
]


def things(farm, owner):
    """A plot with two boundaries, and one that shares ground with it."""
    plots = [Plot.objects.create(property=farm, name=name) for name in ("Recorded", "Beside it")]
    boundaries = [
        Boundary.objects.create(
            plot=plot,
            geometry=OUTLINE,
            how=Boundary.How.DRAWN,
            area_m2=9_700,
            perimeter_m=397,
            is_compared=True,
        )
        for plot in (plots[0], *plots)
    ]
    for plot, boundary in zip(plots, boundaries[1:], strict=True):
        plot.boundary = boundary
        plot.save()
    Overlap.objects.create(
        first=boundaries[1], second=boundaries[2], geometry=OUTLINE, area_m2=9_700, width_m=87
    )
    return {
        "recorded_id": plots[0].pk,
        "boundary_id": boundaries[0].pk,
        "current_id": boundaries[1].pk,
    }
