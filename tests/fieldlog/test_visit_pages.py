"""The pages of visits at the desk: the log, one visit, forms of readings, pictures side by side."""

import hashlib
import io
from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from fieldlog.forms.readings import ReadingForm
from fieldlog.kinds import KINDS
from fieldlog.models import Photo, PhotoPoint, Reading, Visit
from fieldlog.queries.pictures import views_of
from fieldlog.services.reading_versions import correct_reading
from fieldlog.services.said import SaidVisit
from fieldlog.services.taking_in import take_in


@pytest.fixture
def plot(make_plot):
    return make_plot()


@pytest.fixture
def record(plot, recorder):
    """record(readings=…, photos=…) -> the stored visit."""

    def record(*, plot=plot, user=recorder, days_ago=0, readings=(), photos=(), note="", sent_at=None):
        said = SaidVisit(
            id=uuid4(),
            plot=plot,
            visited_at=timezone.now() - timedelta(days=days_ago),
            note=note,
            readings=tuple({"id": uuid4()} | each for each in readings),
            photos=tuple({"id": uuid4(), "sha256": "ab" * 32} | each for each in photos),
        )
        [taken] = take_in(property=plot.property, user=user, visits=[said], sent_at=sent_at)
        assert (taken.error, taken.refused) == (None, [])
        return taken.visit

    return record


@pytest.fixture
def browser(client, manager):
    client.force_login(manager)
    return client


WARM = {"kind": "temperature", "values": {"surface_f": 110, "under_f": 70}}
RAIN = {"kind": "rain", "values": {"gauge_in": 1.2}}


def address(name, farm, *args):
    return reverse(name, args=[farm.slug, *args])


def drawn():
    out = io.BytesIO()
    Image.new("RGB", (80, 60), "green").save(out, "PNG")
    return out.getvalue()


# --- the log


def test_the_log_is_the_latest_first_and_found_by_plot_kind_person_and_day(
    browser, farm, record, make_plot, owner, recorder
):
    south = make_plot("South Bench", lon=-92.1)
    record(note="Oldest.", days_ago=9, readings=[WARM])
    record(note="Middle.", days_ago=5, plot=south, user=owner, readings=[RAIN])
    record(note="Latest.", days_ago=1)

    def shown(**asked):
        page = browser.get(address("visit-log", farm), asked)
        return [each.note for each in page.context["page"]]

    day = timezone.localdate()
    assert shown() == ["Latest.", "Middle.", "Oldest."]
    assert shown(plot=south.pk) == ["Middle."]
    assert shown(kind="temperature") == ["Oldest."]
    assert shown(person=recorder.pk) == ["Latest.", "Oldest."]
    assert shown(since=str(day - timedelta(days=5)), until=str(day - timedelta(days=5))) == ["Middle."]


def test_what_is_asked_and_not_understood_is_said_and_asks_for_nothing(browser, farm, record):
    record(note="Here.")
    page = browser.get(address("visit-log", farm), {"since": "soon", "plot": "10000000", "kind": "telepathy"})
    assert "This is not a day" in page.text
    assert "Here." in page.text


def test_the_log_asks_the_same_few_questions_for_many_visits(
    browser, farm, record, django_assert_max_num_queries
):
    for days in range(12):
        record(days_ago=days, readings=[WARM, RAIN], photos=[{}])
    with django_assert_max_num_queries(16):
        page = browser.get(address("visit-log", farm))
    assert "Top of the mulch" in page.text


def test_what_stands_twice_is_asked_on_top_of_the_log(browser, farm, record, recorder, manager):
    visit = record(readings=[WARM])
    reading = visit.readings.get()
    for user, surface_f in ((recorder, 100), (manager, 90)):
        said = {"values": {"surface_f": surface_f}}
        correct_reading(reading=reading, user=user, id=uuid4(), said=said, why="")
    page = browser.get(address("visit-log", farm))
    assert "Two versions stand" in page.text
    shown = browser.get(address("visit", farm, visit.pk))
    assert shown.text.count("This one counts") == 2
    chosen = Reading.objects.get(values={"surface_f": 90})
    browser.post(address("reading-choose", farm, chosen.pk))
    assert "Two versions stand" not in browser.get(address("visit-log", farm)).text


def test_the_log_leads_who_may_record_to_the_field_log(browser, client, farm, viewer):
    way = f'href="{address("field", farm)}"'
    assert way in browser.get(address("visit-log", farm)).text
    client.force_login(viewer)
    page = client.get(address("visit-log", farm)).content.decode()
    assert way not in page
    assert f'href="{reverse("connect")}"' in page  # there is no visit yet


# --- one visit


def test_a_visit_shows_figures_doubts_both_clocks_and_what_is_awaited(browser, farm, record):
    now = timezone.now()
    visit = record(
        readings=[WARM | {"values": {"surface_f": 170, "under_f": 70}}],
        photos=[{}, {}],
        sent_at=now + timedelta(days=1, hours=2),
    )
    text = browser.get(address("visit", farm, visit.pk)).text
    assert "100 °F" in text
    assert "nobody has confirmed it: Top of the mulch" in text
    assert "1\xa0day, 2\xa0hours ahead" in text
    assert "2 pictures are still on the phone" in text


def test_a_viewer_sees_a_visit_and_is_offered_nothing(client, farm, record, viewer):
    visit = record(readings=[WARM])
    client.force_login(viewer)
    text = client.get(address("visit", farm, visit.pk)).text
    assert "Top of the mulch" in text
    assert "<form" not in text.partition("<main")[2]
    assert reverse("reading-new", args=[farm.slug, visit.pk]) not in text


def test_what_was_typed_is_shown_as_text(browser, farm, record):
    visit = record(note="<b>Up</b>", readings=[{"kind": "rain", "values": {}, "note": "<i>Dry</i>"}])
    for page in (address("visit", farm, visit.pk), address("visit-log", farm)):
        assert "<b>Up" not in browser.get(page).text
        assert "<i>Dry" not in browser.get(page).text


def test_a_visit_is_moved_to_another_plot_on_its_form(browser, farm, record, make_plot):
    visit, south = record(readings=[WARM]), make_plot("South Bench", lon=-92.1)
    said = {
        "visited_at": timezone.localtime(visit.visited_at).strftime("%Y-%m-%dT%H:%M"),
        "note": "",
        "plot": south.pk,
    }
    refused = browser.post(address("visit-edit", farm, visit.pk), said)
    assert "without a reason" in refused.text
    browser.post(address("visit-edit", farm, visit.pk), said | {"why": "Wrong plot."})
    assert Visit.objects.get().plot == south
    assert "North Bench" in browser.get(address("visit", farm, visit.pk)).text


# --- readings at the desk


@pytest.mark.parametrize("key", KINDS)
def test_every_kind_has_a_form_at_the_desk(browser, farm, record, key):
    visit = record()
    page = browser.get(address("reading-new", farm, visit.pk), {"protocol": key})
    assert page.status_code == 200
    assert KINDS[key].title in page.text
    empty = browser.post(
        address("reading-new", farm, visit.pk) + f"?protocol={key}",
        {"id": page.context["form"]["id"].value()},
    )
    assert "has no answer" in empty.text
    assert not Reading.objects.exists()


def test_a_reading_is_recorded_at_the_desk_once(browser, farm, record):
    visit = record()
    where = address("reading-new", farm, visit.pk) + "?protocol=temperature"
    said = {"id": str(uuid4()), "surface_f": "110", "under_f": "70,5", "note": "Noon."}
    for _ in range(2):
        answer = browser.post(where, said)
        assert answer.url == address("visit", farm, visit.pk)
    reading = Reading.objects.get()
    assert (reading.values, reading.protocol_key) == ({"surface_f": 110, "under_f": 70.5}, "temperature")


def test_a_doubtful_value_is_asked_back_and_taken_with_yes_really(browser, farm, record):
    visit = record()
    where = address("reading-new", farm, visit.pk) + "?protocol=temperature"
    said = {"id": str(uuid4()), "bare_f": "170"}
    page = browser.post(where, said)
    assert "at 170 °F?" in page.text
    assert "Yes, really" in page.text
    assert not Reading.objects.exists()
    browser.post(where, said | {"sure-bare_f": "on"})
    assert Reading.objects.get().sure_of == ["bare_f"]


def test_what_was_typed_and_cannot_be_stays_in_the_form(browser, farm, record):
    visit = record()
    page = browser.post(
        address("reading-new", farm, visit.pk) + "?protocol=browse",
        {
            "id": str(uuid4()),
            "heights-0-caged_in": "14",
            "heights-0-open_in": "tall",
            "heights-7-caged_in": "12",
        },
    )
    assert "&#x27;tall&#x27;" in page.text
    assert 'value="tall"' in page.text
    assert 'name="heights-7-caged_in" value="12"' in page.text


def test_a_correction_starts_from_what_was_said_and_keeps_it(browser, farm, record):
    values = {"heights": [{"caged_in": 14, "open_in": 5}]}
    visit = record(readings=[{"kind": "browse", "values": values}])
    reading = visit.readings.get()
    where = address("reading-edit", farm, reading.pk)
    form = browser.get(where).context["form"]
    assert form["heights-0-open_in"].value() == "5"
    said = {name: form[name].value() or "" for name in form.fields if not name.startswith("sure-")}
    browser.post(where, said | {"heights-0-open_in": "4", "why": "Misread."})
    reading.refresh_from_db()
    assert reading.replaced_by.values == {"heights": [{"caged_in": 14, "open_in": 4}]}
    assert "1 other version" in browser.get(address("visit", farm, visit.pk)).text


def test_numbers_lines_and_species_are_read_as_they_are_typed():
    kind = KINDS["stand"]
    form = ReadingForm(kind, kind.defaults, (), {"id": str(uuid4()), "plants": "4, 5 - 6;7"})
    assert form.is_valid(), form.errors
    assert form.said["values"]["plants"] == [4, 5, None, 6, 7]
    kind = KINDS["cover"]
    form = ReadingForm(kind, kind.defaults, (), {"id": str(uuid4()), "lines": "1101\n0011"})
    assert form.is_valid(), form.errors
    assert form.said["values"]["lines"] == ["1101", "0011"]


# --- pictures


def test_a_picture_is_added_at_the_desk_once(browser, farm, record):
    visit = record()
    for _ in range(2):
        file = SimpleUploadedFile("a.png", drawn(), "image/png")
        browser.post(address("photo-add", farm, visit.pk), {"file": file, "caption": "Gate"})
    photo = Photo.objects.get()
    assert (photo.sha256, photo.caption) == (hashlib.sha256(drawn()).hexdigest(), "Gate")
    assert photo.arrived_at
    text = browser.get(address("visit", farm, visit.pk)).text
    assert address("photo", farm, photo.pk) in text


def test_a_file_that_is_no_picture_adds_nothing(browser, farm, record):
    visit = record()
    page = browser.post(
        address("photo-add", farm, visit.pk), {"file": SimpleUploadedFile("a.jpg", b"Dear diary")}
    )
    assert "no JPEG, PNG or WebP" in page.text
    assert not Photo.objects.exists()


def test_a_point_is_made_of_a_picture_and_gathers_what_shows_the_same(browser, farm, plot, record):
    place = {"lon": -92.0005, "lat": 38.0005}
    seen = record(
        days_ago=400,
        photos=[
            place | {"bearing_deg": 350},
            place | {"bearing_deg": 10, "sha256": "cd" * 32},
            place | {"bearing_deg": 180, "sha256": "ef" * 32},
            {"lon": -92.002, "lat": 38.0005, "bearing_deg": 350, "sha256": "aa" * 32},
            {"sha256": "bb" * 32},
        ],
    )
    Photo.objects.update(arrived_at=timezone.now())
    first = seen.photos.get(bearing_deg=350, lon=-92.0005)
    browser.post(address("photo-point-new", farm, first.pk), {"name": "Gate,  looking north"})
    point = PhotoPoint.objects.get()
    assert (point.name, point.bearing_deg, point.plot) == ("Gate, looking north", 350, plot)
    [(found, [view])], others, _ = views_of(plot)
    assert (found, {each.bearing_deg for each in view.photos}) == (point, {350, 10})
    assert len(others) == 3
    assert "Gate, looking north" in browser.get(address("photo-points", farm, plot.pk)).text


def test_pictures_of_a_point_that_look_another_way_stand_apart(plot, record, owner):
    point = PhotoPoint.objects.create(plot=plot, name="Gate", bearing_deg=0, created_by=owner)
    photos = [
        {"bearing_deg": degrees, "sha256": f"{number}0" * 32, "point_id": point.pk}
        for number, degrees in enumerate((5, 95, 100, None))
    ]
    record(photos=photos)
    Photo.objects.update(arrived_at=timezone.now())
    [(_, views)], _, _ = views_of(plot)
    assert [(view.looks, len(view.photos)) for view in views] == [("N", 2), ("E", 2)]


def test_a_name_of_a_point_is_taken_once_and_a_point_is_put_away(browser, farm, plot, record):
    visit = record(photos=[{}, {"sha256": "cd" * 32}])
    for photo in visit.photos.all():
        page = browser.post(address("photo-point-new", farm, photo.pk), {"name": "Gate"}, follow=True)
    assert "has a photo point “Gate” already" in page.text
    point = PhotoPoint.objects.get()
    browser.post(address("photo-point-archive", farm, point.pk))
    assert PhotoPoint.objects.get().is_archived
    browser.post(address("photo-point-archive", farm, point.pk), {"act": "back"})
    assert not PhotoPoint.objects.get().is_archived


def test_a_picture_is_set_aside_and_shown_again(browser, farm, record):
    visit = record(photos=[{}])
    photo = visit.photos.get()
    browser.post(address("photo-strike", farm, photo.pk))
    assert "1 set aside" in browser.get(address("visit", farm, visit.pk)).text
    browser.post(address("photo-strike", farm, photo.pk), {"act": "show"})
    photo.refresh_from_db()
    assert photo.struck_at is None


def test_the_plots_page_says_readings_in_words(browser, farm, plot, record):
    record(readings=[WARM])
    text = browser.get(address("plot", farm, plot.pk)).text
    assert "Top of the mulch to the ground under it: 40 °F" in text
    assert address("photo-points", farm, plot.pk) in text
