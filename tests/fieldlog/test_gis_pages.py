"""Taking along what was found on the plots page, and how a GIS is connected."""

import json
import re

import pytest
from django.urls import reverse

from blends.services.blends import save_blend
from blends.services.seasons import assign, open_season
from plots.services.people import make_api_token
from plots.services.plots import archive_plot

PAGE, FILE = (
    reverse("plots-export", args=["tally-hollow"]),
    reverse("plots-export-file", args=["tally-hollow", "geojson"]),
)


@pytest.fixture
def member(client, viewer):
    client.force_login(viewer)
    return client


@pytest.fixture
def plots(farm, owner, make_plot):
    """Creek and Bench get Grain in the cool season of 2026, Annex lies fallow; Bench is to hold weeds."""
    creek, bench, annex = (
        make_plot(name, lon=-92 - number / 100) for number, name in enumerate(["Creek", "Bench", "Annex"])
    )
    bench.objective = "hold_weeds"
    bench.save()
    blend = save_blend(property=farm, user=owner, name="Grain", kind="mixed", components=[])
    assignments = [{"plot_id": plot.pk, "blend_id": blend.pk} for plot in (creek, bench)]
    season = open_season(property=farm, year=2026, kind="cool")
    assign(season=season, user=owner, assignments=[*assignments, {"plot_id": annex.pk, "fallow": True}])
    bench.blend_id = blend.pk
    return creek, bench, annex


def ticked(page):
    """The ids that the page ticks."""
    return {int(each) for each in re.findall(r'name="plot" value="(\d+)" checked', page.text)}


def in_file(response):
    return {feature["properties"]["name"] for feature in json.loads(response.content)["features"]}


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("", {"Creek", "Bench", "Annex"}),
        ("q=cree", {"Creek"}),
        ("blend={blend}", {"Creek", "Bench"}),
        ("blend=fallow&season=2026-cool", {"Annex"}),
        ("objective=hold_weeds", {"Bench"}),
        ("objective=none&blend={blend}", {"Creek"}),
        ("q=cree&colour=acres&sort=acres", {"Creek"}),
    ],
)
def test_what_was_found_on_the_plots_page_is_what_leaves(member, plots, query, expected):
    query = query.format(blend=plots[1].blend_id)
    page = member.get(f"{PAGE}?{query}")
    assert ticked(page) == {plot.pk for plot in plots if plot.name in expected}
    assert in_file(member.get(f"{FILE}?{query}")) == expected


def test_unticking_keeps_what_was_found(member, plots):
    page = member.get(f"{PAGE}?q=cree")
    (address,) = re.findall(r'href="([^"]*tick=none)"', page.text)
    page = member.get(address.replace("&amp;", "&"))
    assert ticked(page) == set()
    assert page.text.count('name="plot"') == 1


def test_a_plots_page_leads_to_that_plot_alone_ticked(member, plots):
    page = member.get(f"{PAGE}?plot={plots[1].pk}")
    assert ticked(page) == {plots[1].pk}
    assert page.text.count('name="plot"') == 3


def test_more_than_can_be_ticked_leave_by_what_was_asked(member, plots, monkeypatch):
    monkeypatch.setattr("fieldlog.views.exports.MOST_TICKED", 1)
    page = member.get(f"{PAGE}?blend={plots[0].plantings.get().blend_id}")
    assert 'type="checkbox"' not in page.text
    hidden = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', page.text))
    assert in_file(member.get(FILE, hidden)) == {"Creek", "Bench"}


def test_archived_plots_leave_when_they_were_looked_at(member, plots):
    archive_plot(plot=plots[0])
    assert in_file(member.get(FILE)) == {"Bench", "Annex"}
    assert ticked(member.get(f"{PAGE}?archived=on")) == {plots[0].pk}
    assert in_file(member.get(f"{FILE}?archived=on")) == {"Creek"}
    assert in_file(member.get(f"{FILE}?archived=on&of=ticked&plot={plots[0].pk}")) == {"Creek"}
    assert member.get(f"{FILE}?archived=on&of=ticked&plot={plots[1].pk}").status_code == 404


def test_nothing_found_says_so(member, plots):
    page = member.get(f"{PAGE}?q=nowhere")
    assert "None of the plots that you were looking at" in page.text


def test_what_cannot_be_asked_is_refused_in_a_sentence(member, plots):
    for address in (PAGE, FILE):
        answer = member.get(f"{address}?objective=grow_trees")
        assert answer.status_code == 400
        assert "grow_trees" in answer.text
    assert member.get(f"{FILE}?blend=99999").status_code == 404


def test_questions_to_the_database_do_not_grow_with_the_plots(
    member, plots, make_plot, django_assert_max_num_queries
):
    for number in range(40):
        make_plot(f"Plot {number}", lon=-91 - number / 100)
    with django_assert_max_num_queries(8):
        member.get(f"{PAGE}?q=plot")


def test_gis_page_names_the_address_and_every_collection(member, farm, viewer):
    page = member.get(reverse("gis", args=[farm.slug]))
    assert 'value="http://testserver/ogc/"' in page.text
    _, secret = make_api_token(user=viewer, name="GIS")
    for each in member.get("/ogc/collections", {"token": secret, "f": "json"}).json()["collections"]:
        assert each["id"] in page.text
    for route in ("account", "plots-export"):
        args = [farm.slug] if route == "plots-export" else []
        assert reverse(route, args=args) in page.text


def test_gis_page_names_the_public_address_behind_a_proxy(member, farm, settings):
    settings.CSRF_TRUSTED_ORIGINS = ["https://plots.example"]
    page = member.get(reverse("gis", args=[farm.slug]), headers={"X-Forwarded-Host": "plots.example"})
    assert 'value="https://plots.example/ogc/"' in page.text
    assert "machine that Swardbook runs on" not in page.text


@pytest.mark.parametrize(
    ("host", "is_warned"), [("localhost:8000", True), ("127.0.0.1", True), ("testserver", False)]
)
def test_gis_page_says_when_no_other_machine_reaches_the_address(member, farm, host, is_warned):
    page = member.get(reverse("gis", args=[farm.slug]), headers={"Host": host})
    assert ("machine that Swardbook runs on" in page.text) is is_warned


def test_account_and_export_lead_to_it(member, farm, plots):
    address = reverse("gis", args=[farm.slug])
    for page in (PAGE, reverse("account")):
        assert f'href="{address}"' in member.get(page).text
