"""The pages on which boundaries are drawn, without a browser."""

import json
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.scenery import lay_out


@pytest.fixture
def asked(client, owner):
    """asked(route, *arguments) -> the page's text, and what it hands to its script."""
    client.force_login(owner)

    def asked(route, *arguments):
        response = client.get(reverse(route, args=arguments))
        assert response.status_code == 200
        text = response.content.decode()
        [drawn] = re.findall(r'<script id="drawn" type="application/json">(.*?)</script>', text)
        return text, json.loads(drawn)

    return asked


def test_a_boundary_is_handed_over_with_every_digit(asked, farm):
    [plot, *_] = lay_out(farm, 2)
    _, drawn = asked("boundary-edit", farm.slug, plot.pk)
    assert drawn["boundary"] == plot.boundary.pk
    outlines = plot.boundary.geometry.geoms
    assert drawn["geometry"]["coordinates"] == [
        [[list(corner) for corner in ring.coords] for ring in (part.exterior, *part.interiors)]
        for part in outlines
    ]


def test_a_plot_without_a_boundary_opens_where_the_others_are(asked, farm, make_plot):
    make_plot("North Bench")
    plot = make_plot("Creek Bottom", acres=None)
    text, drawn = asked("boundary-edit", farm.slug, plot.pk)
    assert "Draw the boundary of Creek Bottom" in text
    assert drawn["boundary"] is None
    assert drawn["geometry"] is None
    assert drawn["extent"] == [-92.0, 38.0, -91.999, 38.001]


def test_the_first_plot_of_a_property_has_nowhere_to_open(asked, farm):
    text, drawn = asked("boundary-draw", farm.slug)
    assert drawn["extent"] is None
    assert re.search(r"<details[^>]* data-place open>", text)


def test_without_javascript_the_page_names_the_other_way(asked, farm):
    text, _ = asked("boundary-draw", farm.slug)
    [said] = re.findall("<noscript>(.*?)</noscript>", text)
    assert reverse("import-new", args=[farm.slug]) in said


def test_a_name_is_no_markup(asked, farm, make_plot):
    plot = make_plot("<b>Bench</b>")
    text, _ = asked("boundary-edit", farm.slug, plot.pk)
    assert "<b>" not in text


@pytest.mark.parametrize("route", ["boundary-edit", "boundary-draw"])
def test_three_hundred_plots_cost_as_many_queries_as_ten(asked, farm, route):
    counts = []
    for count, first in ((10, 0), (290, 10)):
        plots = lay_out(farm, count, first=first)
        with CaptureQueriesContext(
            connection,
        ) as seen:
            asked(route, farm.slug, *([plots[0].pk] if route == "boundary-edit" else []))
        counts.append(len(seen))
    assert counts[0] == counts[1] <= 15
