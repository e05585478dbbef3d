"""Planting sheets as a PDF made in the background, for as many plots as a property has."""

import json

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction

from blends.models import Machine, Season
from blends.queries.sheets import sheets
from blends.queries.sheets.asked import planting_plot_ids
from blends.sheet_paper import draw_sheet, new_paper
from config.errors import Refused
from plots.models import Job
from plots.services.jobs import start_job
from plots.services.progress import beat

KIND = "sheets"
KEPT = 5
"""Files of a property that are kept; older ones can be made anew."""
AT_ONCE = 250
"""Plots that are read and drawn together: few enough to stay small in memory."""


def ask_for_paper(*, season, user, plot_ids=None, machine=None, level_pct=100.0):
    """Begin a job that makes the sheets of some plots, or of all that are still to be planted.

    Parameters
    ----------
    season : Season
    user : User
    plot_ids : list of int, optional
        In the order of the run.
    machine : Machine, optional
    level_pct : float

    Returns
    -------
    Job

    Raises
    ------
    Refused
        No plot that is sown.
    """
    ids = planting_plot_ids(season, plot_ids, only_planned=plot_ids is None)
    if not ids:
        raise Refused("No plot of the season is waiting to be planted, so there is no sheet to make.")
    asked = {
        "season": season.pk,
        "plots": ids,
        "machine": machine and machine.pk,
        "level_pct": level_pct,
    }
    with transaction.atomic():  # the work begins when what it has to read is there
        job = start_job(property=season.property, kind=KIND, user=user, steps_total=len(ids))
        default_storage.save(_path(job, "json"), ContentFile(json.dumps(asked).encode()))
    return job


def make_paper(property_id, *, job):
    """The job's work: read, draw and store, some plots at a time. Safe to run twice."""
    with default_storage.open(_path(job, "json")) as file:
        asked = json.loads(file.read())
    season = Season.objects.select_related("property", "order").get(pk=asked["season"], property=property_id)
    machine = Machine.objects.filter(pk=asked["machine"], property=property_id).first()
    paper, ids = new_paper(season), asked["plots"]
    for start in range(0, len(ids), AT_ONCE):
        for sheet in sheets(season, ids[start : start + AT_ONCE], machine, asked["level_pct"]):
            draw_sheet(paper, sheet)
        beat(job, start + AT_ONCE)
    if not default_storage.exists(_path(job, "pdf")):
        default_storage.save(_path(job, "pdf"), ContentFile(paper.bytes()))
    _drop_older(property_id)


def _drop_older(property_id):
    """Let the files of older jobs go; the jobs stay, and what was asked stays with those that may still run."""
    older = Job.objects.filter(property=property_id, kind=KIND, state__in=Job.FINISHED).order_by(
        "-created_at"
    )
    for job in older[KEPT - 1 : KEPT + 20]:
        for ending in ("json", "pdf"):
            if default_storage.exists(_path(job, ending)):
                default_storage.delete(_path(job, ending))


def paper_of(job, only_ask=False):
    """The PDF's bytes, or None while there is none; with `only_ask`, whether there is one."""
    path = _path(job, "pdf")
    if not default_storage.exists(path):
        return None
    if only_ask:
        return True
    with default_storage.open(path) as file:
        return file.read()


def _path(job, ending):
    return f"sheets/{job.property_id}/{job.pk}.{ending}"
