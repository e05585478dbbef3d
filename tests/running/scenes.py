"""What happens inside an installation of the tests; each function is called in a process of its own."""

from decimal import Decimal

from django.conf import settings
from django.core.files import File
from django.core.management import call_command

from blends.models import OrderLine, Planting, SeedOrder
from blends.services.demo import load_demo
from blends.services.orders import set_terms
from config.running.folder import make_working_folders
from fieldlog.models import Photo, Reading, Visit
from plots.calc.units import M2_PER_ACRE
from plots.models import Boundary, GroundPicture, Job, User
from plots.services.accepting import accept_import
from plots.services.cutting import folder_of
from plots.services.imports import receive_file
from plots.services.pictures import receive_picture
from plots.services.properties import create_property


def prepare():
    settings.DATA_DIR.mkdir()
    make_working_folders(settings.DATA_DIR, settings.BROKER_DIR)
    call_command("migrate", verbosity=0)


def bring_in_plots(username="rue", password=None):
    """Accept the demonstration's fourteen outlines; their measuring is left to a worker."""
    user = User.objects.create_user(username, password=password)
    property = create_property(user=user, name="Tally Hollow")
    with (settings.BASE_DIR / "fixtures" / "demo" / "outlines.geojson").open("rb") as file:
        received = receive_file(property=property, user=user, upload=File(file, name="outlines.geojson"))
    accepted = [
        {"position": row.position, "name": row.name, "plot_id": None} for row in received.outlines.all()
    ]
    job = accept_import(boundary_import=received, user=user, accepted=accepted)
    return job.steps_total


def measured():
    """How far the measuring is, and the acres so far."""
    job = Job.objects.get()
    acres = {row.plot.name: row.area_m2 / M2_PER_ACRE for row in Boundary.objects.exclude(area_m2=None)}
    return {"state": job.state, "steps_done": job.steps_done, "acres": acres}


def bring_in_a_picture(path):
    """A picture of the ground; cutting it is left to a worker. Gives the number of its tiles."""
    user = User.objects.create_user("rue")
    property = create_property(user=user, name="Tally Hollow")
    with open(path, "rb") as file:
        picture = receive_picture(property=property, user=user, upload=File(file, name="flight.tif"))
    return picture.job.steps_total


def cut_so_far():
    """How far the cutting is, and which tiles are there, finished or not."""
    picture = GroundPicture.objects.select_related("job").get()
    folder = folder_of(picture.property_id, picture.pk)
    return {
        "job": picture.job.state,
        "picture": picture.state,
        "draft": len(list((folder / "cutting").rglob("*.webp"))),
        "tiles": sorted(str(each.relative_to(folder)) for each in (folder / "tiles").rglob("*.webp")),
    }


def plan():
    """The demonstration, its figures computed. Gives the coming season's order."""
    load_demo()
    return order_figures()


def raise_overage():
    """Change an input of the order; computing it again is left to a worker."""
    order = _order()
    terms = {"assumed_purity_pct": order.assumed_purity_pct, "assumed_germination_pct": Decimal(85)}
    set_terms(order=order, overage_pct=order.overage_pct + 10, **terms)


def order_figures():
    order = _order()
    plantings = Planting.objects.filter(season=order.season, is_fallow=False)
    return {
        "is_stale": order.is_stale,
        "needed_lb": {str(line): line.needed_lb for line in OrderLine.objects.filter(order=order)},
        "bought_cents": int(order.cost_bought_usd * 100),
        "planting_cents": int(sum(row.cost_bought_usd for row in plantings) * 100),
    }


def visits_with_pictures(note):
    """The visits with that note, their readings, and the pictures whose bytes are here."""
    found = Visit.objects.filter(note=note).prefetch_related("readings", "photos")
    return [
        {
            "readings": [[each.kind, each.values] for each in visit.readings.all()],
            "pictures": [each.sha256 for each in visit.photos.all() if each.arrived_at],
        }
        for visit in found
    ]


def _order():
    return SeedOrder.objects.select_related("season").first()


def in_the_field_log():
    """Visits by id with their readings, and pictures by the hash of what was sent with whether they are here."""
    return {
        "visits": [str(each) for each in Visit.objects.values_list("pk", flat=True)],
        "readings": [str(each) for each in Reading.objects.values_list("pk", flat=True)],
        "photos": [[each.sha256, each.arrived_at is not None] for each in Photo.objects.all()],
    }
