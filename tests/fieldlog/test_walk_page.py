"""The page of a walk as the server gives it, and what a phone is told of a property."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from plots.models import Membership
from tests.scenery import lay_out


@pytest.fixture
def ground(client, farm, recorder):
    client.force_login(recorder)
    return lambda: client.get(reverse("walk-ground", args=[farm.slug]))


def test_the_page_is_the_same_text_as_the_one_a_phone_keeps(client, farm, recorder):
    shell = client.get(reverse("walk-shell")).text
    client.force_login(recorder)
    answer = client.get(reverse("walk", args=[farm.slug]))
    assert answer.text == shell
    assert "csrftoken" in answer.cookies
    assert farm.name not in shell


def test_a_phone_is_told_plots_with_acres_and_outline(ground, farm, recorder, make_plot):
    make_plot("North Bench", acres=2.0)
    make_plot("Undrawn", acres=None)
    archived = make_plot("Given up")
    archived.is_archived = True
    archived.save()
    answer = ground()
    said = answer.json()
    assert answer["Cache-Control"] == "private, no-store"
    assert said["user"] == {"id": recorder.pk, "name": "recorder"}
    plots = {each["properties"]["name"]: each for each in said["plots"]["features"]}
    assert set(plots) == {"North Bench", "Undrawn"}
    assert plots["North Bench"]["geometry"]["type"] == "MultiPolygon"
    assert plots["North Bench"]["properties"]["acres"] == pytest.approx(2)
    assert plots["Undrawn"]["geometry"] is None
    assert plots["Undrawn"]["properties"]["acres"] is None


def test_a_property_without_plots_is_told_too(ground):
    assert ground().json()["plots"]["features"] == []


def test_what_a_phone_is_told_takes_no_more_questions_for_more_plots(client, farm, elsewhere, recorder):
    Membership.objects.create(user=recorder, property=elsewhere, role=Membership.Role.RECORDER)
    client.force_login(recorder)
    counts = []
    for property, plots in ((farm, 10), (elsewhere, 300)):
        lay_out(property, plots)
        with CaptureQueriesContext(connection) as found:
            assert client.get(reverse("walk-ground", args=[property.slug])).status_code == 200
        counts.append(len(found))
    assert counts[0] == counts[1] <= 15
