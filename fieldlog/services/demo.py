"""The demonstration property with the record of its ground: how boundaries changed, walks, landmarks, soil tests, visits.

Plots, people, blends and orders come from blends/services/demo.py, readings, pictures and work from demo_field.py; what
is added here is added once, whole or not at all, so that a load that was cut short is made good by the next. Dates count
from the day of the load.
"""

import uuid
from datetime import datetime, time, timedelta

from django.db import transaction
from django.utils import timezone
from shapely.geometry import shape

from blends.services import demo
from blends.services.orders import recompute_stale
from fieldlog.services.demo_field import is_loaded, load_field
from fieldlog.services.visits import record_visit
from plots.models import Boundary, Property, User
from plots.services.boundaries import set_boundary
from plots.services.landmarks import add_landmark
from plots.services.soil import record_soil_tests
from plots.services.walks import accept_walk, receive_walk

_IMPORTED_DAYS_AGO = 700  # before the first season of the scene
_WALKED_DAYS_AGO, _WALKED_AT, _DRAWN_AT = 6, time(9, 20), time(18, 30)


def load_demo():
    """Bring in the demonstration property, or what is missing of it.

    Raises
    ------
    Refused
        The installation has people of its own.
    """
    demo.load_demo()
    people = {
        row.username: row for row in User.objects.filter(username__in=[p.username for p in demo.PEOPLE])
    }
    owner = people[demo.OWNER.username]
    property = Property.objects.get(memberships__user=owner, name=demo.NAME)
    plots = {plot.name: plot for plot in property.plots.select_related("boundary")}
    if not property.landmarks.exists():
        with transaction.atomic():
            _soil_tests(plots, owner)
            _record(property, plots, people)
            _visits(plots, people)
    if not is_loaded(property):
        with transaction.atomic():
            load_field(property, plots, people)
    recompute_stale()


def _record(property, plots, people):
    """Boundaries, walks and landmarks, in the order of the file."""
    for boundary in Boundary.objects.filter(plot__property=property):
        _date_back(boundary, _moment(_IMPORTED_DAYS_AGO, _DRAWN_AT))
    manager, intern = people["demo-manager"], people["demo-intern"]
    for feature in demo.read("record.geojson")["features"]:
        facts, place = feature["properties"], feature["geometry"] and shape(feature["geometry"])
        what = facts.pop("is")
        if what == "boundary":
            drawn = set_boundary(
                plot=plots[facts["plot"]],
                geometry=place,
                user=manager,
                how=Boundary.How.DRAWN,
                why=facts["why"],
            )
            _date_back(drawn, _moment(facts["days_ago"], _DRAWN_AT))
        elif what == "walk":
            _walk(property, plots[facts["plot"]], intern, manager, facts)
        else:
            add_landmark(property=property, user=manager, geometry=place, **facts)


def _walk(property, plot, walker, manager, facts):
    started_at = _moment(_WALKED_DAYS_AGO, _WALKED_AT)
    walk, _ = receive_walk(
        property=property,
        user=walker,
        walk_id=uuid.uuid4(),
        fixes=facts["fixes"],
        started_at=started_at,
        sent_at=started_at + timedelta(milliseconds=facts["fixes"][-1][3]),
        plot=plot,
        note=facts["note"],
    )
    if facts["is_accepted"]:
        _date_back(accept_walk(walk=walk, user=manager, plot=plot), started_at + timedelta(hours=1))


def _date_back(boundary, moment):
    """No service says when something was stored; a record that was made within a second would compare no two days."""
    Boundary.objects.filter(pk=boundary.pk).update(created_at=moment)


def _soil_tests(plots, owner):
    soil = demo.read("soil.json")
    for report in soil["reports"]:
        shared = {name: soil[name] for name in ("lab", "notes", "depth_bottom_in")}
        shared |= {
            "sampled_on": timezone.localdate() - timedelta(days=report["days_ago"]),
            "p_method": report["p_method"],
        }
        by_plot = [(plots[name], figures) for name, figures in report["plots"].items()]
        record_soil_tests(user=owner, shared=shared, by_plot=by_plot)


def _visits(plots, people):
    for row in demo.read("visits.json"):
        record_visit(
            id=uuid.uuid4(),
            plot=plots[row["plot"]],
            user=people[row["by"]],
            visited_at=_moment(row["days_ago"], time.fromisoformat(row["at"])),
            note=row["note"],
        )


def _moment(days_ago, at):
    return timezone.make_aware(datetime.combine(timezone.localdate() - timedelta(days=days_ago), at))
