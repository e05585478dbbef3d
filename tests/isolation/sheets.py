"""Planting sheets and the lots that plots take. What they stand on is made in seasons, which comes before."""

from blends.models import Lot, Season
from blends.services.sheet_papers import ask_for_paper
from tests.isolation import EDITORS, MEMBERS, Row

ROWS = [
    Row("planting-latest", "GET", MEMBERS, 302),
    Row("planting-day", "GET", MEMBERS),
    Row("planting-day", "POST", EDITORS, 302, body={"act": "fill"}),
    Row("sheet", "GET", MEMBERS),
    Row("sheet-lots", "GET", MEMBERS),
    Row("sheet-lots", "POST", EDITORS, 302, body={}),
    Row("sheets", "GET", MEMBERS),
    Row("sheets-file", "GET", MEMBERS, named={"form": "sheets_form"}),
    Row("sheets-paper", "POST", MEMBERS, 302, body={}),
    Row("sheets-made", "GET", MEMBERS, named={"job_id": "sheets_job_id"}),
    Row("api-sheets", "GET", MEMBERS),
    Row("api-runs", "GET", MEMBERS),
    Row("api-sheets-stock", "GET", MEMBERS),
    Row("api-sheets-fill", "POST", EDITORS, body={}),
    Row("api-sheets-clear", "POST", EDITORS, body={}),
    Row("api-sheet-lots", "GET", MEMBERS),
    Row("api-sheet-lots", "PUT", EDITORS, body={"choices": []}),
]


def things(farm, owner):
    season = Season.objects.get(property=farm, year=2027, kind="cool")
    planting = season.plantings.get()
    [component] = planting.blend.components.all()
    Lot.objects.create(property=farm, species=component.species)
    job = ask_for_paper(season=season, user=owner)
    return {"sheets_form": "csv", "sheets_job_id": job.pk}
