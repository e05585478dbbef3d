"""The preview of a file with more outlines than one page shows: nothing said on one page is lost on another."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from plots.models import BoundaryImport, ImportedOutline, Plot
from plots.services.imports import receive_file
from plots.views import preview
from tests.plots.test_imports import geojson, square

FIVE = ["A", "B", "C", "D", "E"]


@pytest.fixture
def manage(client, manager, monkeypatch):
    monkeypatch.setattr(preview, "OUTLINES_A_PAGE", 2)
    client.force_login(manager)
    return client


@pytest.fixture
def address(farm, owner):
    """Of the preview of a file with five outlines."""
    text = geojson(*((name, square(-92 + 0.01 * i)) for i, name in enumerate(FIVE)))
    upload = SimpleUploadedFile("plots.geojson", text.encode())
    return reverse("import", args=[farm.slug, receive_file(property=farm, user=owner, upload=upload).pk])


def table(page, **changes):
    """What the browser posts of a page's rows as they were opened, with changes such as name_1 or use_1=None."""
    posted = {}
    for row in page.context["rows"]:
        posted |= {f"name-{row.prefix}": row.outline.name, f"plot-{row.prefix}": row.plot_id or ""}
        if row.outline.is_chosen:
            posted[f"use-{row.prefix}"] = "on"
    posted |= {name.replace("_", "-"): value for name, value in changes.items()}
    return {name: value for name, value in posted.items() if value is not None}


def names(page):
    return [row.outline.name for row in page.context["rows"]]


def test_pages_follow_each_other(manage, address):
    assert names(manage.get(address)) == ["A", "B"]
    assert names(manage.get(f"{address}?page=3")) == ["E"]


def test_what_was_said_on_one_page_is_stored_from_another(manage, address, farm):
    posted = table(manage.get(address), name_1="Bench", use_2=None)
    second = manage.post(address, posted | {"go": "2"}, follow=True)
    assert names(second) == ["C", "D"]
    manage.post(f"{address}?page=2", table(second, use_4=None) | {"act": "accept"})
    assert set(farm.plots.values_list("name", flat=True)) == {"Bench", "C", "E"}


def test_going_back_shows_what_was_said(manage, address, make_plot):
    pond = make_plot("Pond", lon=-91)
    manage.post(address, table(manage.get(address), name_1="pond", plot_1=pond.pk, use_2=None) | {"go": "2"})
    first, second = manage.get(address).context["rows"]
    assert (first.outline.name, first.plot_id, second.outline.is_chosen) == ("pond", pond.pk, False)


def test_the_enter_key_keeps_and_stores_nothing(manage, address):
    page = manage.get(address)
    first_button = page.content.decode().split("<form method")[-1].split("<button")[1].split(">")[0]
    assert 'value="save"' in first_button
    manage.post(address, table(page, name_1="Bench") | {"act": "save"})
    assert names(manage.get(address)) == ["Bench", "B"]
    assert not Plot.objects.exists()


def test_all_and_none_are_said_of_every_page(manage, address, farm):
    manage.post(address, table(manage.get(address)) | {"act": "none"})
    assert not ImportedOutline.objects.filter(is_chosen=True).exists()
    last = manage.get(f"{address}?page=3")
    manage.post(f"{address}?page=3", table(last, use_5="on") | {"act": "accept"})
    assert list(farm.plots.values_list("name", flat=True)) == ["E"]


def test_a_refusal_opens_the_first_page_to_mend_and_counts_the_others(manage, address):
    manage.post(address, table(manage.get(address), name_2="") | {"go": "2"})
    manage.post(f"{address}?page=2", table(manage.get(f"{address}?page=2"), name_3="E") | {"go": "3"})
    refused = manage.post(f"{address}?page=3", table(manage.get(f"{address}?page=3")) | {"act": "accept"})
    assert names(refused) == ["A", ""]
    assert refused.context["rows"][1].errors["name"] == ["A name is missing; each new plot needs one."]
    said = [complaint.sentence for complaint in refused.context["complaints"]]
    assert said[1] == "1 more on other pages; they are said when this one is mended."


def test_storing_twice_stores_once(manage, address):
    posted = table(manage.get(address)) | {"act": "accept"}
    first, second = manage.post(address, posted), manage.post(address, posted)
    assert first.url == second.url
    assert Plot.objects.count() == 5


def test_what_is_said_after_storing_changes_nothing(manage, address):
    posted = table(manage.get(address))
    manage.post(address, posted | {"act": "accept"})
    manage.post(address, posted | {"act": "none", "name-1": "Late"})
    assert ImportedOutline.objects.filter(is_chosen=True).exclude(name="Late").count() == 5
    assert "5 boundaries stored" in manage.get(address).content.decode()


def test_another_propertys_plot_is_no_target(manage, address, make_plot, elsewhere):
    theirs = make_plot("Theirs", property=elsewhere)
    manage.post(address, table(manage.get(address), plot_1=theirs.pk) | {"act": "save"})
    assert ImportedOutline.objects.get(position=1).target is None


@pytest.mark.parametrize("odd", [{"name-99999999999999999999": "x"}, {"name-x": "y"}, {"plot-1": "9" * 30}])
def test_a_forged_table_is_passed_over(manage, address, odd):
    assert manage.post(address, table(manage.get(address)) | odd | {"act": "save"}).status_code == 302
    assert list(ImportedOutline.objects.values_list("name", flat=True)) == FIVE


def test_characters_that_no_database_holds_are_dropped_from_a_name(manage, address):
    manage.post(address, table(manage.get(address), name_1="Be\x00nch") | {"act": "save"})
    assert ImportedOutline.objects.get(position=1).name == "Bench"


def test_a_target_that_is_archived_meanwhile_is_none(manage, address, make_plot):
    pond = make_plot("Pond", lon=-91)
    manage.post(address, table(manage.get(address), plot_1=pond.pk) | {"act": "save"})
    Plot.objects.update(is_archived=True)
    assert manage.get(address).context["rows"][0].plot_id is None
    manage.post(address, table(manage.get(address)) | {"act": "accept"})
    assert BoundaryImport.objects.get().boundaries.filter(plot=pond).count() == 0
