"""Where work lies on a map."""

from plots.models import Plot


def work_pins(items, href_of):
    """Pins of numbered items; what has no place of its own stands inside its plot.

    Parameters
    ----------
    items : list of WorkItem
        With `.number` as the list beside the map has it.
    href_of : callable
        An item to the address of its row.

    Returns
    -------
    list of dict
        lon, lat, numbers (of the items there), title, href (of the first) and is_late.
    """
    without = {item.plot_id for item in items if item.lon is None and item.plot_id}
    rows = Plot.objects.filter(pk__in=without, boundary__isnull=False).select_related("boundary")
    inside = {row.pk: row.boundary.geometry.representative_point() for row in rows}
    pins = {}
    for item in items:
        lon, lat = item.lon, item.lat
        if lon is None:
            if item.plot_id not in inside:
                continue
            lon, lat = inside[item.plot_id].x, inside[item.plot_id].y
        pin = pins.setdefault(
            (round(lon, 5), round(lat, 5)),
            {
                "lon": lon,
                "lat": lat,
                "numbers": [],
                "title": item.title,
                "href": href_of(item),
                "is_late": False,
            },
        )
        pin["numbers"].append(item.number)
        pin["is_late"] |= item.is_late
    return list(pins.values())
