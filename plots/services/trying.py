"""What an outline would be, before anything is stored."""

from config.errors import Refused
from plots.calc.geodesy import geodesic_area_perimeter
from plots.calc.shape import part_and_hole_counts
from plots.calc.units import m2_to_acres, m_to_ft
from plots.geojson import checked_outline
from plots.services.doubts import doubts_about
from plots.services.overlaps import LEAST_KEPT_M2, shared_ground

_NO_FIGURES = dict.fromkeys(("acres", "area_m2", "perimeter_ft", "perimeter_m", "parts", "holes"))


def measured_outline(*, property, drawn, plot=None):
    """Acres and perimeter of an outline that somebody draws, with what is wrong with it and what it meets.

    The time it takes depends on the plots around the outline and not on how many the property has.

    Parameters
    ----------
    drawn : shapely Polygon or MultiPolygon
        As drawn: it may cross itself or be empty.
    plot : Plot, optional
        Whose boundary it would be; its own ground is no overlap.

    Returns
    -------
    dict
        `acres`, `area_m2`, `perimeter_ft`, `perimeter_m`, `parts`, `holes` (None where there is a problem),
        `problems` and `doubts` (sentences), `overlaps` ({"plot_id", "plot", "acres"}, largest first).
    """
    try:
        outline = checked_outline(drawn)
    except Refused as problem:
        return _NO_FIGURES | {"problems": [problem.sentence], "overlaps": [], "doubts": []}
    area_m2, perimeter_m = (float(measure) for measure in geodesic_area_perimeter(outline))
    [parts], [holes] = part_and_hole_counts([outline])
    [shared] = shared_ground(
        property, [outline], [area_m2], but=plot.pk if plot else None, least_m2=LEAST_KEPT_M2
    )
    return {
        "acres": m2_to_acres(area_m2),
        "area_m2": area_m2,
        "perimeter_ft": m_to_ft(perimeter_m),
        "perimeter_m": perimeter_m,
        "parts": parts,
        "holes": holes,
        "problems": [],
        "overlaps": [
            {"plot_id": each["plot_id"], "plot": each["plot"], "acres": m2_to_acres(each["area_m2"])}
            for each in shared
        ],
        "doubts": doubts_about(property, outline, name=plot.name if plot else "The new plot", but=plot),
    }
