"""`manage.py import_plots PROPERTY FILE`: store the plots of a boundary file and measure them."""

import sys
from pathlib import Path

from django.core.files import File
from django.core.management.base import BaseCommand
from django.db import DatabaseError

from config.errors import Refused, SwardbookError
from plots.models import BoundaryImport, Membership, Property, User
from plots.queries import plots_for
from plots.services.imports import accept_import, discard_import, receive_file
from plots.services.jobs import run_job

_ANSWERS = {"crs": "(--crs EPSG:n)", "layer": "(--layer NAME)", "axes": "(--swap-axes)"}
_UNUSABLE = 2  # exit status


class Command(BaseCommand):
    help = "Stores the outlines of a boundary file as plots of a property and measures them."

    def add_arguments(self, parser):
        parser.add_argument("property", help="the property, by the short name in its address")
        parser.add_argument(
            "file", help="GeoJSON, KML, KMZ, GPX, zipped Shapefile, GeoPackage or CSV with WKT"
        )
        parser.add_argument(
            "--user", metavar="NAME", help="who brings them in (default: the property's owner)"
        )
        parser.add_argument(
            "--crs", metavar="EPSG:n", default="", help="the coordinate system; goes before the file's own"
        )
        parser.add_argument("--layer", metavar="NAME", default="", help="which layer, when there are several")
        parser.add_argument("--swap-axes", action="store_true", help="the coordinates are exchanged")
        parser.add_argument(
            "--name-field", metavar="NAME", default="", help="the attribute that names the plots"
        )
        parser.add_argument(
            "--replace",
            action="store_true",
            help="an outline named like a plot becomes that plot's new boundary, instead of being refused",
        )

    def handle(self, *, property, file, user, replace, crs, layer, swap_axes, name_field, **options):
        try:
            here = _property(property)
            person = _person(here, user)
            answers = {"crs": crs, "layer": layer, "swap_axes": swap_axes, "name_field": name_field}
            row = _received(here, person, file, answers)
            _store(row, person, replace)
        except (SwardbookError, OSError, DatabaseError) as error:
            self.stderr.write(" ".join(str(error).split()))
            sys.exit(_UNUSABLE)
        self._say(row)

    def _say(self, row):
        boundaries = row.boundaries.select_related("plot").order_by("plot__name")
        for boundary in boundaries:
            self.stdout.write(f"{boundary.plot.name}: {boundary.acres:,.3f} acres")
            for note in boundary.repairs:
                self.stdout.write(f"  {note}")
        for note in row.report["notes"]:
            self.stdout.write(note)
        for item in row.report["left_out"]:
            self.stdout.write(f"Left out: {item['what']}: {item['why']}")
        total_acres = sum(boundary.acres for boundary in boundaries)
        self.stdout.write(f"{len(boundaries)} stored on {row.property}, {total_acres:,.3f} acres in all.")


def _property(slug):
    found = Property.objects.filter(slug=slug).first()
    if found is None:
        there = ", ".join(Property.objects.order_by("slug").values_list("slug", flat=True)[:20])
        raise Refused(f"There is no property “{slug}”; there is {there or 'none yet'}.")
    return found


def _person(property, username):
    members = Membership.objects.filter(property=property)
    if username is None:
        member = members.filter(role=Membership.Role.OWNER).select_related("user").order_by("pk").first()
        return member and member.user
    person = User.objects.filter(username=username, memberships__property=property).first()
    if person is None:
        raise Refused(f"“{username}” does not belong to {property}; the user name of a member is accepted.")
    return person


def _received(property, person, file, answers):
    path = Path(file)
    with path.open("rb") as content:
        row = receive_file(property=property, user=person, upload=File(content, name=path.name), **answers)
    if row.state != BoundaryImport.State.PREVIEW:
        discard_import(boundary_import=row)
        hint = _ANSWERS.get(row.report["needs"], "")
        raise Refused(f"{row.report['sentence']} {hint}".strip())
    return row


def _store(row, person, replace):
    """Store all outlines and measure them here; a refusal leaves nothing behind."""
    plots = {plot.name.lower(): plot.pk for plot in plots_for(row.property)} if replace else {}
    accepted = [
        {"position": position, "name": name, "plot_id": plots.get(name.lower())}
        for position, name in row.outlines.values_list("position", "name")
    ]
    try:
        job = accept_import(boundary_import=row, user=person, accepted=accepted, send=False)
    except SwardbookError:
        discard_import(boundary_import=row)
        raise
    run_job(job.pk)
