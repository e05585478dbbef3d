"""The demonstration property: invented people, plots, blends, seasons and offers, brought in as a person would.

fieldlog/services/demo.py adds what is recorded on its ground.

Each step finds out whether it has been taken, so that a load that was cut short goes on where it stopped
and a second load changes nothing. Dates count from the day of the load, so that the scene does not age.
"""

import json
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.conf import settings
from django.core.files import File
from django.db import transaction
from django.utils import timezone

from blends.models import Clipping, Planting, SeedOrder, Species
from blends.services import demo_supply
from blends.services.blends import save_blend
from blends.services.clippings import record_clipping
from blends.services.offers import add_supplier, save_offer
from blends.services.orders import choose, recompute_stale
from blends.services.seasons import assign, open_season
from config.errors import Refused
from plots.days import day_of_year
from plots.models import Membership, Property, User
from plots.services.accepting import accept_import
from plots.services.imports import receive_file
from plots.services.jobs import run_job
from plots.services.measuring import measure_boundaries
from plots.services.plots import update_plot
from plots.services.properties import create_property, update_property

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
CLIPPED_AFTER_DAYS = 80
VALID_DAYS = 60


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
    ground = read("ground.json")
    frosts = {name: day_of_year(ground[name]) for name in ("last_frost_on", "first_frost_on")}
    update_property(property=property, name=NAME, **frosts, **read("supply.json")["property"])
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
    objectives = read("ground.json")["objectives"]
    for plot in property.plots.all():
        update_plot(plot=plot, name=plot.name, notes=plot.notes, objective=objectives.get(plot.name, ""))


def _seasons(property, owner):
    today = timezone.localdate()
    species = {row.key: row for row in Species.objects.filter(property=None)}
    blends = {blend.name: blend for blend in _blends(property, owner, species)}
    scenes, supply = read("seasons.json"), read("supply.json")
    offers = list(_offers(property, species | blends, supply["breaks"], today))
    demo_supply.state_suppliers(property, supply["suppliers"])
    demo_supply.bring_machines(property, owner, supply["machines"])
    demo_supply.bring_inoculants(property, owner, supply["inoculants"], today)
    *past, coming = seasons_around(today)
    before = None
    for year, kind in past:
        season = open_season(property=property, year=year, kind=kind)
        _assign(season, owner, blends, scenes[kind]["plots"])
        _choose(season, offers)
        first_day = date(year, *SOWING[kind][0])
        demo_supply.buy_and_receive(season.order, owner, first_day, supply["tags"])
        demo_supply.calibrate(season, owner, first_day, supply["calibrations"])
        days = _days(season, scenes[kind]["plots"], first_day)
        if before is not None:
            demo_supply.end_stands(before, owner, days)
        demo_supply.plant(season, owner, days, supply)
        before = season
        _clip(season, owner, scenes[kind].get("clippings", []), today)
    year, kind = coming
    season = open_season(property=property, year=year, kind=kind)
    rows = scenes[kind]["plots"]
    _assign(season, owner, blends, rows[: len(rows) // 2])
    _choose(season, offers)


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
    for blend in read("blends.json"):
        components = [
            {"species_id": species[row.pop("species")].pk} | {name: Decimal(row[name]) for name in row}
            for row in blend.pop("components")
        ]
        rates = {name: Decimal(blend.pop(name)) for name in list(blend) if name.endswith("lb_per_acre")}
        yield save_blend(property=property, user=owner, components=components, **blend, **rates)


def _offers(property, things, breaks, today):
    """(thing, offer) for every offer that the orders choose; the others are made too."""
    suppliers, falls = {}, {}
    for row in breaks:
        fall = {"from_packs": row["from_packs"], "quoted_usd": Decimal(row["quoted_usd"])}
        falls.setdefault((row["supplier"], row["item"]), []).append(fall)
    for row in read("offers.json"):
        name, key, is_chosen = row.pop("supplier"), row.pop("item"), row.pop("is_chosen")
        if name not in suppliers:
            suppliers[name] = add_supplier(property=property, name=name)
        thing = things[key]
        offer = save_offer(
            property=property,
            supplier=suppliers[name],
            quoted_on=today - timedelta(days=12),
            valid_until=today + timedelta(days=VALID_DAYS),
            breaks=falls.get((name, key)),
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


def _days(season, rows, first_day):
    """{plot id: the day on which it is planted}, some plots a day in the order of the rows."""
    plots = dict(season.property.plots.values_list("name", "pk"))
    sown = [plots[row["plot"]] for row in rows if "blend" in row]
    return {plot_id: first_day + timedelta(days=index // PLOTS_A_DAY) for index, plot_id in enumerate(sown)}


def _clip(season, owner, rows, today):
    plantings = {row.plot.name: row for row in season.plantings.select_related("plot", "blend")}
    species = dict(Species.objects.filter(property=None).values_list("key", "pk"))
    for row in rows:
        planting = plantings[row["plot"]]
        record_clipping(
            blend=planting.blend,
            user=owner,
            species_id=species[row["species"]],
            stage=Clipping.Stage.LEAFY,
            clipped_on=min(planting.planted_on + timedelta(days=CLIPPED_AFTER_DAYS), today),
            frames=row["frames"],
            plot=planting.plot,
            **{name: Decimal(row[name]) for name in ("frame_ft2", "dry_g", "wet_g")},
        )


def _choose(season, offers):
    order = SeedOrder.objects.select_related("season__property").get(season=season)
    blends = {row.blend for row in season.plantings.select_related("blend") if row.blend}
    bought = {blend for blend in blends if blend.is_bought}
    sown = {row.species for blend in blends - bought for row in blend.components.select_related("species")}
    for thing, offer in offers:
        if thing in sown | bought:
            choose(order=order, offer=offer, **_as_item(thing))


def _as_item(thing):
    return {"species": thing} if isinstance(thing, Species) else {"blend": thing}


def _path(name):
    return settings.BASE_DIR / "fixtures" / "demo" / name


def read(name):
    """What a JSON file of the demonstration holds."""
    return json.loads(_path(name).read_text(encoding="utf-8"))
