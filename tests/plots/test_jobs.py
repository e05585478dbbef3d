"""Jobs run once in effect, are taken up again, and say how they ended."""

from datetime import timedelta

import pytest
from django.utils import timezone

from config.errors import Refused
from plots.models import Boundary, Job
from plots.services import jobs, measuring, progress
from plots.services.measuring import acreage_changed, measure_boundaries
from plots.tasks import sweep


@pytest.fixture
def unmeasured(farm, make_plot):
    """Five plots whose boundaries have no acreage yet."""
    for number in range(5):
        make_plot(f"P{number}", lon=-92 + number / 100)
    Boundary.objects.update(area_m2=None, perimeter_m=None)
    return farm


def waiting(property, **values):
    return Job.objects.create(property=property, kind="measure", steps_total=5, **values)


def age(seconds):
    return timezone.now() - timedelta(seconds=seconds)


def unknown():
    return Boundary.objects.filter(area_m2__isnull=True).count()


def test_measuring_goes_in_chunks_and_says_how_far_it_is(unmeasured, monkeypatch):
    monkeypatch.setattr(measuring, "_CHUNK", 2)
    job, steps = waiting(unmeasured, state="running"), []
    monkeypatch.setattr(measuring, "beat", lambda job, steps_done: steps.append(steps_done))
    assert measure_boundaries(unmeasured.pk, job=job) == 5
    assert steps == [2, 4, 5]


def test_measuring_again_changes_nothing(unmeasured):
    assert measure_boundaries(unmeasured.pk) == 5
    before = list(Boundary.objects.values_list("area_m2", flat=True))
    assert measure_boundaries(unmeasured.pk) == 0
    assert list(Boundary.objects.values_list("area_m2", flat=True)) == before


def test_other_properties_are_left_alone(unmeasured, elsewhere):
    assert measure_boundaries(elsewhere.pk) == 0
    assert unknown() == 5


def test_what_hangs_on_the_acreage_is_told_in_the_same_transaction(unmeasured):
    def fail(**kwargs):
        raise RuntimeError("receiver")

    acreage_changed.connect(fail)
    try:
        with pytest.raises(RuntimeError):
            measure_boundaries(unmeasured.pk)
    finally:
        acreage_changed.disconnect(fail)
    assert unknown() == 5


def test_a_job_ends_done_with_all_its_steps(unmeasured):
    job = waiting(unmeasured)
    jobs.run_job(job.pk)
    job.refresh_from_db()
    assert (job.state, job.steps_done, unknown()) == ("done", 5, 0)
    assert job.ended_at


def test_a_finished_job_is_not_run_again(unmeasured, monkeypatch):
    job = waiting(unmeasured)
    jobs.run_job(job.pk)
    monkeypatch.setitem(jobs._WORK, "measure", lambda *args, **kwargs: pytest.fail("ran again"))
    jobs.run_job(job.pk)


def test_a_job_that_another_worker_is_at_is_left_to_it(unmeasured):
    job = waiting(unmeasured, state="running", beat_at=age(5))
    jobs.run_job(job.pk)
    assert unknown() == 5


def test_a_silent_job_is_taken_over(unmeasured):
    job = waiting(unmeasured, state="running", beat_at=age(61), steps_done=2)
    jobs.run_job(job.pk)
    job.refresh_from_db()
    assert (job.state, unknown()) == ("done", 0)


def test_the_sweep_sends_a_forgotten_job(unmeasured):
    job = waiting(unmeasured)
    Job.objects.update(created_at=age(61))
    sweep()
    job.refresh_from_db()
    assert job.state == "done"


def test_the_sweep_leaves_a_fresh_job_to_its_own_message(unmeasured):
    waiting(unmeasured)
    sweep()
    assert unknown() == 5


def test_the_sweep_measures_what_a_failed_job_left(unmeasured):
    waiting(unmeasured, state="failed")
    Boundary.objects.update(created_at=age(61))
    sweep()
    assert unknown() == 0


def test_a_refusal_ends_the_job_with_its_sentence(unmeasured, monkeypatch):
    def refuse(*args, **kwargs):
        raise Refused("The ground is frozen.")

    monkeypatch.setitem(jobs._WORK, "measure", refuse)
    job = waiting(unmeasured)
    jobs.run_job(job.pk)
    job.refresh_from_db()
    assert (job.state, job.message) == ("failed", "The ground is frozen.")


def test_a_fault_is_logged_and_the_job_says_so(unmeasured, monkeypatch, caplog):
    monkeypatch.setitem(jobs._WORK, "measure", lambda *args, **kwargs: 1 / 0)
    job = waiting(unmeasured)
    jobs.run_job(job.pk)
    job.refresh_from_db()
    assert job.state == "failed"
    assert "logged" in job.message
    assert "ZeroDivisionError" in caplog.text


def test_a_job_is_sent_only_after_the_commit(unmeasured, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True) as callbacks:
        job = jobs.start_job(property=unmeasured, kind="measure", user=None, steps_total=5)
        assert unknown() == 5
    job.refresh_from_db()
    assert len(callbacks) == 1
    assert job.state == "done"


def test_a_broker_that_is_away_does_not_undo_what_was_stored(
    unmeasured, monkeypatch, django_capture_on_commit_callbacks
):
    def away(job_id):
        raise ConnectionError("no broker")

    monkeypatch.setattr(jobs, "_send", away)
    with django_capture_on_commit_callbacks(execute=True):
        job = jobs.start_job(property=unmeasured, kind="measure", user=None, steps_total=5)
    job.refresh_from_db()
    assert job.state == "waiting"


def test_waiting_work_is_cancelled_at_once_and_never_run(unmeasured):
    job = waiting(unmeasured)
    assert jobs.cancel_job(job).state == "cancelled"
    jobs.run_job(job.pk)
    job.refresh_from_db()
    assert (job.state, job.is_finished, unknown()) == ("cancelled", True, 5)


def test_running_work_ends_at_its_next_look_when_it_is_cancelled(unmeasured, monkeypatch):
    job, seen = waiting(unmeasured), []

    def work(property_id, *, job):
        seen.append("begun")
        progress.look_for_cancel(job)
        jobs.cancel_job(job)
        progress.look_for_cancel(job)
        seen.append("never")

    monkeypatch.setitem(jobs._WORK, "measure", work)
    jobs.run_job(job.pk)
    job.refresh_from_db()
    assert (job.state, seen, job.ended_at is not None) == ("cancelled", ["begun"], True)


def test_finished_work_stays_finished_when_it_is_cancelled_late(unmeasured):
    job = waiting(unmeasured, state="done")
    assert jobs.cancel_job(job).state == "done"
