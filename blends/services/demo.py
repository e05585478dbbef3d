"""The demonstration property: invented people, plots, blends, seasons and offers, brought in as a person would.

Each step finds out whether it has been taken, so that a load that was cut short goes on where it stopped
and a second load changes nothing. Dates count from the day of the load, so that the scene does not age.
"""

import json
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_DOWN, Decimal

from django.conf import settings
from django.core.files import File
from django.db import transaction
from django.utils import timezone

from blends.models import Planting, SeedOrder, Species
from blends.services.blends import save_blend
from blends.services.offers import add_supplier, save_offer
from blends.services.orders import choose, recompute_stale
from blends.services.seasons import assign, open_season, record_planted
from config.errors import Refused
from plots.models import Membership, Property, User
from plots.services.accepting import accept_import
from plots.services.imports import receive_file
from plots.services.jobs import run_job
from plots.services.measuring import measure_boundaries
from plots.services.properties import create_property

NAME = "Larkspindle Hollow"
# Printed for everybody; `start` warns when other machines can reach it.
PASSWORD = "fourteen-open-gates"  # noqa: S105


@dataclass(frozen=True)
class Person:
    username: str
    full_name: str
    role: str


OWNER, *CREW = PEOPLE = [
    Person("demo-owner", "Wren Demo", Membership.Role.OWNER),
    Person("demo-manager", "Moss Demo", Membership.Role.MANAGER),
    Person("demo-intern", "Fern Demo", Membership.Role.RECORDER),
]
# First and last day of sowing [month, day]; common practice for the middle of the country, no source.
SOWING = {"warm": ((5, 9), (5, 31)), "cool": ((8, 24), (9, 14))}
PLOTS_A_DAY = 4


def is_open():
    """Whether the demonstration's owner can sign in with the password that everybody knows."""
    owner = User.objects.filter(username=OWNER.username, is_active=True).first()
    return owner is not None and owner.check_password(PASSWORD)


def load_demo():
    """Bring in the demonstration property, or what is missing of it.

    Raises
    ------
    Refused
        The installation has people of its own: accounts with a known password do not belong there.
    """
    property = _property_and_people()
    owner = User.objects.get(username=OWNER.username)
    if not property.plots.exists():
        _plots(property, owner)
    measure_boundaries(property.pk)
    if not property.seasons.exists():
        with transaction.atomic():
            _seasons(property, owner)
    recompute_stale()


@transaction.atomic
def _property_and_people():
    owner = User.objects.filter(username=OWNER.username).first()
    if owner is not None:
        return Property.objects.get(memberships__user=owner, name=NAME)
    if User.objects.exists():
        raise Refused(
            "--demo needs an installation without people; this one has some. Choose another folder."
        )
    property = create_property(user=_account(OWNER), name=NAME)
    for person in CREW:
        Membership.objects.create(user=_account(person), property=property, role=person.role)
    return property


def _account(person):
    first_name, last_name = person.full_name.split()
    return User.objects.create_user(
        person.username, password=PASSWORD, first_name=first_name, last_name=last_name
    )


def _plots(property, owner):
    with _path("outlines.geojson").open("rb") as file:
        received = receive_file(property=property, user=owner, upload=File(file, name="outlines.geojson"))
    accepted = [
        {"position": outline.position, "name": outline.name, "plot_id": None}
        for outline in received.outlines.all()
    ]
    job = accept_import(boundary_import=received, user=owner, accepted=accepted, send=False)
    run_job(job.pk)


def _seasons(property, owner):
    today = timezone.localdate()
    species = {row.key: row for row in Species.objects.filter(property=None)}
    blends = {blend.name: blend for blend in _blends(property, owner, species)}
    offers = list(_offers(property, species | blends, today))
    scenes = _read("seasons.json")
    *past, coming = seasons_around(today)
    for year, kind in past:
        season = open_season(property=property, year=year, kind=kind)
        _assign(season, owner, blends, scenes[kind]["plots"])
        _plant(season, scenes[kind]["plots"])
        _choose(season, offers, {})
    year, kind = coming
    season = open_season(property=property, year=year, kind=kind)
    rows = scenes[kind]["plots"]
    _assign(season, owner, blends, rows[: len(rows) // 2])
    _choose(season, offers, scenes[kind]["on_hand_lb"])


def seasons_around(today):
    """The last two seasons whose sowing is over and the one that comes, as (year, kind), oldest first."""
    ends = sorted(
        (date(year, *last), year, kind)
        for year in range(today.year - 2, today.year + 2)
        for kind, (_, last) in SOWING.items()
    )
    coming = next(index for index, (end, _, _) in enumerate(ends) if end >= today)
    return [(year, kind) for _, year, kind in ends[coming - 2 : coming + 1]]


def _blends(property, owner, species):
    for blend in _read("blends.json"):
        components = [
            {"species_id": species[row.pop("species")].pk} | {name: Decimal(row[name]) for name in row}
            for row in blend.pop("components")
        ]
        rates = {name: Decimal(blend.pop(name)) for name in list(blend) if name.endswith("lb_per_acre")}
        yield save_blend(property=property, user=owner, components=components, **blend, **rates)


def _offers(property, things, today):
    """(thing, offer) for every offer that the orders choose; the others are made too."""
    suppliers = {}
    for row in _read("offers.json"):
        name, key, is_chosen = row.pop("supplier"), row.pop("item"), row.pop("is_chosen")
        if name not in suppliers:
            suppliers[name] = add_supplier(property=property, name=name)
        thing = things[key]
        offer = save_offer(
            property=property,
            supplier=suppliers[name],
            quoted_on=today - timedelta(days=12),
            **_as_item(thing),
            **{field: Decimal(value) for field, value in row.items()},
        )
        if is_chosen:
            yield thing, offer


def _assign(season, owner, blends, rows):
    plots = dict(season.property.plots.values_list("name", "pk"))
    assignments = [
        {
            "plot_id": plots[row["plot"]],
            "blend_id": blends[row["blend"]].pk if "blend" in row else None,
            "fallow": row.get("fallow", False),
            "method": row.get("method", Planting.Method.DRILLED),
        }
        for row in rows
    ]
    assign(season=season, user=owner, assignments=assignments)


def _plant(season, rows):
    first_day = date(season.year, *SOWING[season.kind][0])
    plantings = {row.plot.name: row for row in season.plantings.select_related("plot__boundary")}
    planted = [plantings[row["plot"]] for row in rows if "blend" in row]
    for index, planting in enumerate(planted):
        acres = Decimal(planting.plot.mapped_acres).quantize(Decimal("0.01"), ROUND_DOWN)
        record_planted(planting=planting, on=first_day + timedelta(days=index // PLOTS_A_DAY), acres=acres)


def _choose(season, offers, on_hand_lb):
    order = SeedOrder.objects.select_related("season__property").get(season=season)
    blends = {row.blend for row in season.plantings.select_related("blend") if row.blend}
    bought = {blend for blend in blends if blend.is_bought}
    sown = {row.species for blend in blends - bought for row in blend.components.select_related("species")}
    for thing, offer in offers:
        if thing in sown | bought:
            left_lb = Decimal(on_hand_lb.get(getattr(thing, "key", None), 0))
            choose(order=order, offer=offer, on_hand_lb=left_lb, **_as_item(thing))


def _as_item(thing):
    return {"species": thing} if isinstance(thing, Species) else {"blend": thing}


def _path(name):
    return settings.BASE_DIR / "fixtures" / "demo" / name


def _read(name):
    return json.loads(_path(name).read_text(encoding="utf-8"))
