"""Visits with readings and pictures, as phones send them: once each, and what is wrong in one keeps the rest."""

import json
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from fieldlog.models import Phone, Photo, Reading, Visit
from fieldlog.services.photo_points import make_point
from fieldlog.services.protocols import change_protocol
from fieldlog.services.visits import correct_visit
from plots.services.plots import archive_plot
from tests.conftest import person
from tests.planting_day import PlantingDay

HASH = "ab" * 32


@pytest.fixture
def plot(make_plot):
    return make_plot()


@pytest.fixture
def send(client, recorder, farm):
    """send(visit, person=None, id=…) -> the answer to a PUT; send.batch(*visits, **top) to a batch."""
    client.force_login(recorder)

    def put(said, *, id=None, person=None, status=None):
        if person:
            client.force_login(person)
        address = f"/api/v1/properties/{farm.slug}/visits/{id or said['id']}/"
        body = {name: value for name, value in said.items() if name != "id"}
        answer = client.put(address, json.dumps(body), "application/json")
        if status:
            assert answer.status_code == status, answer.content
        return answer.json()

    def batch(*visits, **top):
        address = f"/api/v1/properties/{farm.slug}/visits/batch/"
        return client.post(address, json.dumps(top | {"visits": visits}), "application/json")

    put.batch = batch
    return put


@pytest.fixture
def said(plot):
    """said(…) -> a visit of now with one reading of temperatures, changed by what is given."""

    def said(**other):
        at = timezone.now().isoformat()
        return {
            "id": str(uuid4()),
            "plot_id": plot.pk,
            "visited_at": at,
            "note": "Up.",
            "readings": [warm()],
        } | other

    return said


def warm(**other):
    return {"id": str(uuid4()), "kind": "temperature", "values": {"surface_f": 110, "under_f": 70}} | other


def picture(**other):
    return {"id": str(uuid4()), "sha256": HASH} | other


def test_a_visit_with_a_reading_and_a_picture_sent_twice_is_here_once(send, said):
    visit = said(photos=[picture()], lon=-92.0, lat=38.0, accuracy_m=6)
    first, again = send(visit, status=201), send(visit, status=200)
    assert first == again
    [reading], [photo] = first["readings"], first["photos"]
    assert (reading["kind"], reading["figures"][0]["value"]) == ("temperature", 40)
    assert (photo["sha256"], photo["is_here"]) == (HASH, False)
    assert (Visit.objects.count(), Reading.objects.count(), Photo.objects.count()) == (1, 1, 1)


def test_sent_again_it_takes_what_is_new_by_id(send, said):
    visit = said()
    send(visit)
    more = visit | {"readings": [*visit["readings"], warm()], "photos": [picture()]}
    answer = send(more, status=200)
    assert (len(answer["readings"]), len(answer["photos"])) == (2, 1)


def test_settings_that_were_not_sent_are_those_of_the_propertys_protocol(send, said, farm, owner):
    """A frame of 4 ft² here: 8 plants in it are 2 on a square foot, not 8."""
    change_protocol(
        property=farm,
        user=owner,
        key="stand",
        name="Stand count",
        instructions="",
        settings={"method": "frame", "frame_ft2": 4},
    )
    stand = {"kind": "stand", "values": {"plants": [8, 8]}}
    readings = [
        {"id": str(uuid4())} | stand,
        {"id": str(uuid4()), "settings": {"frame_ft2": 2}} | stand,
        {"id": str(uuid4()), "settings": {"method": "row", "row_spacing_in": 12}} | stand,
    ]
    answer = send(said(readings=readings), status=201)
    found = {each["id"]: each["figures"][0]["value"] for each in answer["readings"]}
    assert [found[each["id"]] for each in readings] == [2, 4, pytest.approx(8 / 3)]


def test_a_bad_reading_and_a_bad_picture_are_refused_alone(send, said):
    hot = warm(values={"surface_f": 1100})
    visit = said(
        readings=[warm(), hot, warm(kind="telepathy"), "nothing", warm(taken_at="soon")],
        photos=[picture(), picture(sha256="abc"), picture(point_id=99)],
    )
    answer = send(visit, status=201)
    assert (len(answer["readings"]), len(answer["photos"])) == (1, 1)
    assert [each["what"] for each in answer["refused"]] == [
        "reading",
        "reading",
        "photo",
        "reading",
        "reading",
        "photo",
    ]
    about = {each["id"]: each for each in answer["refused"]}
    assert about[hot["id"]]["fields"] == {
        "values.surface_f": ["Top of the mulch is 1100 °F; a number from -60 to 250 °F is accepted"]
    }
    assert "telepathy" in about[visit["readings"][2]["id"]]["sentence"]
    assert "" in about


def test_a_refused_reading_is_taken_once_it_is_mended_and_its_picture_finds_it(send, said):
    bad = warm(values={"surface_f": 1100})
    shot = picture(reading_id=bad["id"])
    visit = said(readings=[bad], photos=[shot])
    assert send(visit, status=201)["photos"][0]["reading_id"] is None
    mended = visit | {"readings": [bad | {"values": {"surface_f": 110}}]}
    answer = send(mended, status=200)
    assert answer["refused"] == []
    assert answer["photos"][0]["reading_id"] == bad["id"]


def test_another_content_under_a_readings_or_pictures_id_is_a_conflict_of_that_alone(send, said):
    visit = said(photos=[picture()])
    send(visit)
    other = visit | {
        "readings": [visit["readings"][0] | {"values": {"surface_f": 90}}],
        "photos": [visit["photos"][0] | {"sha256": "cd" * 32}],
    }
    answer = send(other, status=200)
    assert [each["code"] for each in answer["refused"]] == ["conflict", "conflict"]
    assert Reading.objects.get().values == {"surface_f": 110, "under_f": 70}


def test_one_id_for_two_readings_of_a_visit_is_refused_the_second_time(send, said):
    first = warm()
    answer = send(said(readings=[first, first | {"values": {"surface_f": 80}}]), status=201)
    assert ([each["code"] for each in answer["refused"]], len(answer["readings"])) == (["conflict"], 1)


def test_what_is_doubtful_is_taken_and_named_until_somebody_stands_by_it(send, said):
    answer = send(
        said(readings=[warm(values={"bare_f": 170}), warm(values={"bare_f": 170}, sure_of=["bare_f"])])
    )
    assert sorted(each["doubted"] for each in answer["readings"]) == [[], ["bare_f"]]


# --- clocks


@pytest.mark.parametrize(
    "off", [timedelta(days=1), timedelta(days=-1), timedelta(days=-20_000), timedelta(hours=3)]
)
def test_a_clock_that_is_off_is_put_right_and_both_times_are_kept(send, said, off):
    now = timezone.now()
    at = now - timedelta(minutes=30) + off
    visit = said(
        visited_at=at.isoformat(), sent_at=(now + off).isoformat(), readings=[warm(taken_at=at.isoformat())]
    )
    answer = send(visit, status=201)
    stored = Visit.objects.get()
    assert abs(stored.visited_at - (now - timedelta(minutes=30))) < timedelta(seconds=90)
    assert stored.said_at == at.replace(microsecond=0)
    assert abs(answer["clock_ahead_s"] - off.total_seconds()) < 90
    assert Reading.objects.get().taken_at == stored.visited_at


def test_a_clock_that_is_off_by_a_minute_is_believed(send, said):
    now = timezone.now()
    answer = send(
        said(visited_at=now.isoformat(), sent_at=(now + timedelta(seconds=60)).isoformat()), status=201
    )
    assert answer["said_at"] is None
    assert Visit.objects.get().visited_at == now.replace(microsecond=0)


def test_the_same_visit_sent_later_by_a_wrong_clock_is_the_same(send, said):
    now = timezone.now() + timedelta(days=1)
    visit = said(visited_at=now.isoformat())
    first = send(visit | {"sent_at": now.isoformat()}, status=201)
    again = send(visit | {"sent_at": (now + timedelta(hours=2)).isoformat()}, status=200)
    assert again["visited_at"] == first["visited_at"]


@pytest.mark.parametrize("sent_at", ["9999-12-31T23:59:59Z", "0001-01-02T00:00:00Z", "soon"])
def test_a_clock_that_is_none_is_refused_by_its_field(send, said, sent_at):
    assert list(send(said(sent_at=sent_at), status=400)["error"]["fields"]) == ["sent_at"]


# --- who, and what of


def test_two_phones_at_one_plot_record_two_visits(send, said, farm):
    second = person("second", farm, "recorder")
    send(said(phone_id=str(uuid4())), status=201)
    send(said(phone_id=str(uuid4())), person=second, status=201)
    assert sorted(Visit.objects.values_list("recorded_by__username", flat=True)) == ["recorder", "second"]


def test_what_somebody_else_recorded_is_not_sent_as_ones_own(send, said, owner):
    answer = send(said(recorded_by=owner.pk), status=409)
    assert answer["error"]["code"] == "other_person"


def test_nothing_is_taken_from_a_phone_whose_access_was_ended(send, said, recorder):
    phone = Phone.objects.create(
        phone_id=uuid4(), user=recorder, last_seen_at=timezone.now(), ended_at=timezone.now()
    )
    visit = said(phone_id=str(phone.phone_id))
    assert send(visit, status=403)["error"]["code"] == "phone_ended"
    assert send.batch(visit, phone_id=str(phone.phone_id)).status_code == 403
    assert not Visit.objects.exists()


def test_an_id_of_another_propertys_reading_is_refused_without_a_word_of_it(
    send, said, make_plot, elsewhere, stranger, recorder, client
):
    theirs = said(plot_id=make_plot("Far", property=elsewhere).pk, note="Secret.")
    client.force_login(stranger)
    address = f"/api/v1/properties/{elsewhere.slug}/visits/{theirs['id']}/"
    assert client.put(address, json.dumps(theirs), "application/json").status_code == 201
    reading_id = theirs["readings"][0]["id"]
    mine = said(readings=[warm(id=reading_id)], photos=[picture(reading_id=reading_id)])
    answer = send(mine, person=recorder, status=201)
    assert ([each["code"] for each in answer["refused"]], answer["readings"]) == (["conflict"], [])
    assert answer["photos"][0]["reading_id"] is None
    assert "Far" not in str(answer)


# --- many at once


def test_a_batch_answers_each_visit_in_order_and_keeps_the_good_ones(send, said):
    good, no_plot, shapeless, late = (
        said(),
        said(plot_id=10**6),
        {"id": "x"},
        said(visited_at="2090-01-01T00:00Z"),
    )
    answers = send.batch(good, no_plot, shapeless, "visit", late, good).json()["answers"]
    assert [each["status"] for each in answers] == [201, 404, 400, 400, 400, 200]
    assert [each["id"] for each in answers] == [good["id"], no_plot["id"], "x", "", late["id"], good["id"]]
    assert answers[0]["visit"]["readings"][0]["figures"]
    assert answers[4]["error"]["fields"].keys() == {"visited_at"}
    assert Visit.objects.count() == 1


@pytest.mark.parametrize("plot_id", [[None], {}, True, None, 2**70, "mice"])
def test_a_plot_that_is_no_id_keeps_no_other_visit_from_being_taken(send, said, plot_id):
    answers = send.batch(said(plot_id=plot_id), said()).json()["answers"]
    assert [each["status"] for each in answers] == [400, 201]


def test_a_plot_is_read_alike_alone_and_among_many(send, said, plot):
    send(said(plot_id=str(plot.pk)), status=201)
    assert [each["status"] for each in send.batch(said(plot_id=str(plot.pk))).json()["answers"]] == [201]


def test_a_batch_again_is_the_same_and_partly_sent_ones_are_made_whole(send, said):
    visits = [said() for _ in range(5)]
    send(visits[2])
    assert [each["status"] for each in send.batch(*visits).json()["answers"]] == [201, 201, 200, 201, 201]
    assert {each["status"] for each in send.batch(*visits).json()["answers"]} == {200}
    assert (Visit.objects.count(), Reading.objects.count()) == (5, 5)


def test_a_batch_of_more_than_a_hundred_is_refused_whole(send, said):
    assert send.batch(*[said(readings=[])] * 101).status_code == 400
    assert not Visit.objects.exists()


def test_a_batch_reaches_archived_plots_and_no_other_property(send, said, plot, make_plot, elsewhere):
    archive_plot(plot=plot)
    far = make_plot("Far", property=elsewhere)
    answers = send.batch(said(), said(plot_id=far.pk)).json()["answers"]
    assert [each["status"] for each in answers] == [201, 404]


def test_a_visit_costs_the_same_few_questions_beside_many_others(send, said, django_assert_max_num_queries):
    """Savepoint, visit, readings, savepoint: and a few for the whole batch."""
    send.batch(said())
    with django_assert_max_num_queries(5 * 4 + 45):
        send.batch(*[said(readings=[warm(), warm(kind="rain", values={"gauge_in": 1})]) for _ in range(5)])
    with django_assert_max_num_queries(25 * 4 + 45):
        send.batch(*[said(readings=[warm(), warm(kind="rain", values={"gauge_in": 1})]) for _ in range(25)])


def test_list_and_one_visit_answer_with_readings_in_a_fixed_number_of_questions(
    send, said, client, farm, django_assert_max_num_queries
):
    for _ in range(6):
        send(said(photos=[picture()]))
    with django_assert_max_num_queries(9):
        found = client.get(f"/api/v1/properties/{farm.slug}/visits/").json()["results"]
    assert all(each["readings"] and each["photos"] for each in found)


def test_a_picture_from_a_photo_point_names_it(send, said, plot, owner):
    send(said(photos=[picture(lon=-92.0, lat=38.0, bearing_deg=90)]))
    point = make_point(photo=Photo.objects.get(), user=owner, name="Gate")
    answer = send(said(photos=[picture(point_id=point.pk)]), status=201)
    assert answer["photos"][0]["point_id"] == point.pk


def test_year_one_with_a_clock_that_is_off_is_refused_and_no_failure(send, said):
    now = timezone.now() + timedelta(days=3)
    visit = said(visited_at=datetime(1, 1, 2, tzinfo=UTC).isoformat(), sent_at=now.isoformat())
    assert send(visit, status=400)["error"]["fields"].keys() <= {"visited_at", "sent_at"}


def test_a_reading_that_comes_after_its_visit_was_moved_is_of_what_grows_there(
    send, said, plot, owner, farm, make_plot
):
    day = PlantingDay(farm, owner, make_plot)
    planting = day.season.plantings.get(plot=day.plots[0])
    planting.state, planting.planted_on, planting.planted_acres = planting.State.UP, timezone.localdate(), 1
    planting.save()
    visit = said(readings=[])
    send(visit, status=201)
    stored = Visit.objects.get()
    correct_visit(
        visit=stored,
        user=owner,
        visited_at=stored.visited_at,
        note="Up.",
        plot=day.plots[0],
        why="The plot beside it.",
    )
    send(visit | {"readings": [warm()]}, status=200)
    assert Reading.objects.get().planting_id == planting.pk
