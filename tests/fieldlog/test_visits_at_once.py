"""The same visit, picture or correction sent twice at once: it is here once, and nobody waits for ever."""

import hashlib
import io
from uuid import uuid4

import pytest
from django.utils import timezone
from PIL import Image

from fieldlog.models import Phone, Photo, Proposal, Reading, Visit
from fieldlog.services.figures import remake_old
from fieldlog.services.phones import end_phone, hear_from_phone
from fieldlog.services.photos import receive_photo
from fieldlog.services.reading_versions import choose_reading, correct_reading
from fieldlog.services.said import SaidVisit
from fieldlog.services.taking_in import take_in
from plots.access import property_for
from tests.plots.conftest import at_once, on_disk  # noqa: F401


@pytest.fixture
def said(make_plot):
    """said() -> a new visit with a reading and a picture."""
    plot, now = make_plot(), timezone.now()

    def said(sha256="ab" * 32):
        reading = {"id": uuid4(), "kind": "temperature", "values": {"surface_f": 110, "under_f": 70}}
        photo = {"id": uuid4(), "sha256": sha256, "reading_id": reading["id"]}
        return SaidVisit(id=uuid4(), plot=plot, visited_at=now, readings=(reading,), photos=(photo,))

    return said


def send(user, *visits):
    return lambda: take_in(property=visits[0].plot.property, user=user, visits=list(visits))


def raised(outcomes):
    return [each for each in outcomes if isinstance(each, Exception)]


def test_the_same_batch_sent_four_times_at_once_is_here_once(said, recorder, at_once):  # noqa: F811
    visits = [said() for _ in range(5)]
    orders = (visits, visits[::-1], visits[2:] + visits[:2], visits)
    outcomes = at_once(*(send(recorder, *order) for order in orders))
    assert raised(outcomes) == []
    taken = [each for outcome in outcomes for each in outcome]
    assert ([each.error for each in taken], sum(each.is_new for each in taken)) == ([None] * 20, 5)
    assert (Visit.objects.count(), Reading.objects.count(), Photo.objects.count()) == (5, 5, 5)


def test_two_people_at_one_plot_are_both_heard(said, recorder, owner, at_once):  # noqa: F811
    outcomes = at_once(*(send(user, said(), said()) for user in (recorder, owner, recorder, owner)))
    assert raised(outcomes) == []
    assert (Visit.objects.count(), Reading.objects.count()) == (8, 8)


def test_one_id_of_two_people_is_the_first_ones(said, recorder, owner, at_once):  # noqa: F811
    visit = said()
    outcomes = at_once(send(recorder, visit), send(owner, visit))
    assert raised(outcomes) == []
    assert sorted(taken.is_new for [taken] in outcomes) == [False, True]
    assert [type(taken.error).__name__ for [taken] in outcomes if taken.error] == ["Conflict"]
    assert Visit.objects.count() == 1


def test_the_same_picture_sent_at_once_is_one_whole_file(said, recorder, at_once):  # noqa: F811
    out = io.BytesIO()
    Image.effect_noise((300, 200), 40).save(out, "PNG")
    data, property = out.getvalue(), said().plot.property
    sha256 = hashlib.sha256(data).hexdigest()
    send(recorder, said(sha256), said(sha256))()
    outcomes = at_once(
        *(
            lambda: receive_photo(property=property, sha256=sha256, read=io.BytesIO(data).read)
            for _ in range(4)
        )
    )
    assert raised(outcomes) == []
    assert True in outcomes
    photos = list(Photo.objects.all())
    assert len({each.file.name for each in photos}) == 1
    with Image.open(photos[0].file) as image:
        assert image.size == (300, 200)


def test_corrections_at_once_leave_rivals_and_one_choice(said, recorder, owner, at_once):  # noqa: F811
    visit = said()
    send(recorder, visit)()
    reading = Reading.objects.get()

    def correct(user, surface_f):
        values = {"surface_f": surface_f}
        return lambda: correct_reading(
            reading=reading, user=user, id=uuid4(), said={"values": values}, why=""
        )

    assert raised(at_once(*(correct(user, 90 + n) for n, user in enumerate((recorder, owner, owner))))) == []
    standing = list(Reading.objects.filter(Reading.COUNTS))
    assert (len(standing), sum(each.rival_of_id is None for each in standing)) == (3, 1)
    at_once(*(lambda each=each: choose_reading(reading=each, user=owner) for each in standing))
    assert Reading.objects.filter(Reading.COUNTS).count() == 1


@pytest.fixture
def patch(make_plot):
    """patch() -> a visit with the same patch of weeds each time, pinned at the same place."""
    plot, now = make_plot(), timezone.now()
    weeds = {
        "kind": "weeds",
        "values": {
            "species": {"id": None, "name": "Pigweed"},
            "stage": "bloom",
            "height_in": 30,
            "where": "beside",
        },
        **{"lon": -92.0, "lat": 38.0},
    }
    return lambda: SaidVisit(id=uuid4(), plot=plot, visited_at=now, readings=(weeds | {"id": uuid4()},))


def test_what_two_people_saw_at_once_is_proposed_once(patch, recorder, owner, manager, at_once):  # noqa: F811
    assert raised(at_once(*(send(user, patch()) for user in (recorder, owner, manager)))) == []
    assert Reading.objects.count() == 3
    assert Proposal.objects.filter(state=Proposal.State.OPEN).count() == 1


def test_figures_are_made_again_while_readings_are_corrected(patch, recorder, owner, at_once):  # noqa: F811
    """In one order: neither waits for the other for ever."""
    send(recorder, *(patch() for _ in range(6)))()
    readings = list(Reading.objects.all())
    Reading.objects.update(figures_by=0)

    def correct(reading):
        values = reading.values | {"stage": "seed"}
        return lambda: correct_reading(
            reading=reading, user=owner, id=uuid4(), said={"values": values}, why="Looked closer."
        )

    assert (
        raised(at_once(remake_old, *map(correct, readings[:3]), remake_old, *map(correct, readings[3:])))
        == []
    )
    assert Reading.objects.filter(Reading.COUNTS).count() == 6


def test_a_phone_that_is_heard_while_it_is_ended_stays_ended(farm, recorder, owner, at_once):  # noqa: F811
    phone_id, property = uuid4(), property_for(owner, farm.slug)

    def hear():
        hear_from_phone(user=recorder, phone_id=phone_id, waiting=[])

    hear()
    phone = Phone.objects.get()

    def end():
        end_phone(phone=phone, by=owner, property=property)

    assert raised(at_once(hear, hear, end, hear, hear)) == []
    assert Phone.objects.get().ended_at is not None
