"""The two steps of an import as a person goes through them, with plain forms."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from plots import uploads
from plots.models import BoundaryImport, Job, Plot
from plots.services import imports
from tests.plots.test_imports import geojson, square, wkt_csv


@pytest.fixture
def new(farm):
    return reverse("import-new", args=[farm.slug])


@pytest.fixture
def manage(client, manager):
    client.force_login(manager)
    return client


def send(client, address, text, name="plots.geojson"):
    return client.post(address, {"file": SimpleUploadedFile(name, text.encode())})


def outlines_address(farm):
    return reverse("import-outlines", args=[farm.slug, BoundaryImport.objects.get().pk])


def test_from_file_to_measured_plots(manage, new, farm, django_capture_on_commit_callbacks):
    preview = send(manage, new, geojson(("North Bench", square()), ("Pond", square(-91.99)))).url
    page = manage.get(preview).content.decode()
    assert "North Bench" in page
    assert "Nothing is stored yet" in page
    with django_capture_on_commit_callbacks(execute=True):
        typed = {"act": "accept", "use-1": "on", "name-1": "North Slope", "name-2": "Pond"}
        answer = manage.post(preview, typed)
    assert manage.get(answer.url).context["job"].state == "done"
    plot = Plot.objects.get()
    assert plot.name == "North Slope"
    assert plot.mapped_acres > 0
    assert "1 outline not chosen" in manage.get(preview).content.decode()


def test_an_unreadable_file_shows_its_sentence(manage, new):
    page = manage.get(send(manage, new, "no map at all", "plots.kml").url)
    assert page.context["report"]["sentence"] in page.content.decode()


def test_no_file_is_said_at_the_field(manage, new):
    response = manage.post(new)
    assert response.context["form"].errors["file"]
    assert 'id="id_file_error"' in response.content.decode()


def test_an_upload_beyond_the_limit_is_cut_while_it_arrives_and_refused_at_the_field(
    manage, new, monkeypatch
):
    for module in (uploads, imports):
        monkeypatch.setattr(module, "MAX_FILE_BYTES", 100_000)
    response = send(manage, new, "x" * 1_000_000)
    assert "larger than" in response.context["form"].errors["file"][0]
    assert response.wsgi_request.FILES["file"].size <= 100_000 + 64 * 1024
    assert not BoundaryImport.objects.exists()


def test_a_missing_crs_is_asked_and_the_answer_leads_to_the_preview(manage, new):
    ring = "POLYGON((500000 4200000, 500100 4200000, 500100 4200100, 500000 4200100, 500000 4200000))"
    page = send(manage, new, wkt_csv(("A", ring)), "plots.csv").url
    assert "One answer is missing" in manage.get(page).content.decode()
    refused = manage.post(page, {"act": "answer", "crs": ""})
    assert refused.context["form"].errors["crs"]
    manage.post(page, {"act": "answer", "likely_crs": "EPSG:26915", "crs": ""})
    assert BoundaryImport.objects.get().state == "preview"


def test_a_refused_table_keeps_what_was_typed_and_says_why_at_the_row(manage, new, make_plot):
    make_plot("Old Oak", lon=-91)
    preview = send(manage, new, geojson(("A", square()), ("B", square(-91.99)))).url
    typed = {"act": "accept", "use-1": "on", "name-1": "old oak", "use-2": "on", "name-2": "Typed by hand"}
    response = manage.post(preview, typed)
    first, second = response.context["rows"]
    assert "There is a plot “Old Oak”" in first.errors["name"][0]
    assert list(first.targets.values()) == ["Old Oak"]
    assert second.outline.name == "Typed by hand"
    assert Plot.objects.count() == 1


def test_nothing_chosen_is_said_above_the_table(manage, new):
    preview = send(manage, new, geojson(("A", square()))).url
    page = manage.post(preview, {"act": "accept", "name-1": "A"}).content.decode()
    assert "choose at least one" in page


def test_a_plot_of_the_same_name_is_offered_a_new_boundary(manage, new, make_plot):
    plot = make_plot("north bench", lon=-91)
    row = manage.get(send(manage, new, geojson(("North Bench", square()))).url).context["rows"][0]
    assert (row.plot_id, row.targets, row.outline.is_chosen) == (plot.pk, {plot.pk: "north bench"}, True)


def test_the_very_same_outline_is_not_chosen_again(manage, new, django_capture_on_commit_callbacks):
    text = geojson(("North Bench", square()))
    with django_capture_on_commit_callbacks(execute=True):
        manage.post(send(manage, new, text).url, {"act": "accept", "use-1": "on", "name-1": "North Bench"})
    row = manage.get(send(manage, new, text).url).context["rows"][0]
    assert row.same_as == "North Bench"
    assert not row.outline.is_chosen


def test_overlap_is_shown_with_the_shared_acres(manage, new, make_plot):
    make_plot("Old Oak", acres=3.0)
    page = manage.get(send(manage, new, geojson(("A", square()))).url).content.decode()
    assert "Old Oak" in page
    assert "(<span" in page.split("Shares")[1]


def test_a_pasted_script_in_a_name_is_text(manage, new):
    page = manage.get(
        send(manage, new, geojson(("<script>alert(1)</script>", square()))).url
    ).content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page


def test_the_map_gets_the_outlines_and_what_is_there(manage, new, farm, make_plot):
    make_plot("Old Oak", lon=-92.0005)
    send(manage, new, geojson(("A", square())))
    response = manage.get(outlines_address(farm))
    assert response["Content-Type"] == "application/geo+json"
    assert [feature["properties"]["look"] for feature in response.json()["features"]] == ["there", "plain"]


def test_the_map_draws_once_what_is_the_same(manage, new, farm, make_plot):
    make_plot("Old Oak", acres=2.4)
    send(manage, new, geojson(("A", square())))
    features = manage.get(outlines_address(farm)).json()["features"]
    assert [feature["properties"]["look"] for feature in features] == ["plain"]


def test_the_map_is_sent_again_only_when_it_has_changed(manage, new, farm, make_plot):
    preview = send(manage, new, geojson(("A", square()))).url
    etag = manage.get(outlines_address(farm))["ETag"]
    assert manage.get(outlines_address(farm), headers={"If-None-Match": etag}).status_code == 304
    manage.post(preview, {"act": "save", "name-1": "B", "use-1": "on"})
    changed = manage.get(outlines_address(farm), headers={"If-None-Match": etag}).json()
    assert changed["features"][0]["properties"]["name"] == "B"


def test_the_original_comes_back_as_a_download_that_no_browser_opens(manage, new, farm):
    text = geojson(("A", square()))
    send(manage, new, text, 'a "quoted".geojson')
    row = BoundaryImport.objects.get()
    response = manage.get(reverse("import-original", args=[farm.slug, row.pk]))
    assert b"".join(response.streaming_content) == text.encode()
    assert response["Content-Type"] == "application/octet-stream"
    assert response["Content-Disposition"].startswith("attachment")
    assert response["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in response["Content-Security-Policy"]


def test_a_discarded_file_is_gone(manage, new, farm):
    preview = send(manage, new, geojson(("A", square()))).url
    assert manage.post(preview, {"act": "discard"}).url == new
    assert manage.get(preview).status_code == 404


def test_earlier_files_are_listed_newest_first(manage, new):
    for name in ("older.kml", "newer.kml"):
        send(manage, new, "no map", name)
    assert [row.file_name for row in manage.get(new).context["imports"]] == ["newer.kml", "older.kml"]


def test_a_post_without_the_forms_token_is_refused(manager, new):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(manager)
    assert send(strict, new, geojson(("A", square()))).status_code == 403
    assert not BoundaryImport.objects.exists()


def test_the_job_page_polls_only_while_the_job_runs(manage, farm, manager):
    job = Job.objects.create(property=farm, kind="measure", steps_total=3, state="running", steps_done=1)
    address = reverse("job", args=[farm.slug, job.pk])
    fragment = manage.get(address, headers={"HX-Request": "true"}).content.decode()
    assert "hx-get" in fragment
    assert "<html" not in fragment
    Job.objects.update(state="done", steps_done=3)
    assert "hx-get" not in manage.get(address, headers={"HX-Request": "true"}).content.decode()
