"""Background work that a page can watch: started, run, and taken up again when a worker died."""

import logging
from datetime import timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from config.errors import SwardbookError
from plots.models import Boundary, Job
from plots.services.cutting import cut_picture
from plots.services.measuring import measure_boundaries
from plots.services.progress import Cancelled

logger = logging.getLogger(__name__)

MEASURE, PICTURE = "measure", "picture"
_WORK = {MEASURE: measure_boundaries, PICTURE: cut_picture}
_FAULT = "The work stopped because of a fault here, which has been logged. It will be tried again."


def register_work(kind, work):
    """Let an app above this one have work of its own done: `work(property_id, job=job)`, safe to run twice."""
    _WORK[kind] = work


@transaction.atomic
def start_job(*, property, kind, user, steps_total, send=True):
    """A waiting job, whose task is sent when the surrounding transaction has been committed.

    With `send=False` the caller runs it in place; if that is cut short, the sweep takes it up.
    """
    job = Job.objects.create(property=property, kind=kind, created_by=user, steps_total=steps_total)
    if send:
        # robust: with the broker away the job waits for the sweep; what was stored is stored.
        transaction.on_commit(lambda: _send(job.pk), robust=True)
    return job


def run_job(job_id):
    """Do the job's work unless it is finished or another worker is at it. Safe to run twice."""
    now = timezone.now()
    free = Q(state=Job.State.WAITING) | Q(state=Job.State.RUNNING, beat_at__lt=_silent_since())
    if not Job.objects.filter(free, pk=job_id).update(state=Job.State.RUNNING, beat_at=now):
        return
    job = Job.objects.get(pk=job_id)
    try:
        _WORK[job.kind](job.property_id, job=job)
    except Cancelled:
        _end(job, Job.State.CANCELLED, "")
    except SwardbookError as error:
        _end(job, Job.State.FAILED, error.sentence)
    except Exception:
        logger.exception("job %s (%s) failed", job.pk, job.kind)
        _end(job, Job.State.FAILED, _FAULT)
    else:
        _end(job, Job.State.DONE, "", steps_done=job.steps_total)


def cancel_job(job):
    """Ask running work to stop at its next look; work that still waits is cancelled at once. Finished work stays.

    Returns
    -------
    Job
        As it is now.
    """
    unfinished = Job.objects.filter(pk=job.pk)
    if not unfinished.filter(state=Job.State.WAITING).update(
        state=Job.State.CANCELLED, is_cancel_asked=True, ended_at=timezone.now()
    ):
        unfinished.filter(state=Job.State.RUNNING).update(is_cancel_asked=True)
    job.refresh_from_db()
    return job


def take_up_unfinished():
    """Send again what waits or is silent too long, and measure what a failed job left unmeasured."""
    silent = _silent_since()
    unfinished = Job.objects.filter(
        Q(state=Job.State.WAITING, created_at__lt=silent) | Q(state=Job.State.RUNNING, beat_at__lt=silent)
    )
    for job_id in unfinished.values_list("pk", flat=True):
        _send(job_id)
    busy = Job.objects.filter(kind=MEASURE, state__in=[Job.State.WAITING, Job.State.RUNNING])
    left = (
        Boundary.objects.filter(area_m2__isnull=True, created_at__lt=silent)
        .exclude(plot__property_id__in=busy.values("property_id"))
        .values_list("plot__property_id", flat=True)
    )
    for property_id in left.order_by().distinct():
        try:
            measure_boundaries(property_id)
        except Exception:
            logger.exception("boundaries of property %s could not be measured", property_id)


def _silent_since():
    return timezone.now() - timedelta(seconds=settings.JOB_SILENT_SECONDS)


def _end(job, state, message, **values):
    Job.objects.filter(pk=job.pk, state=Job.State.RUNNING).update(
        state=state, message=message[:300], ended_at=timezone.now(), **values
    )


def _send(job_id):
    from plots.tasks import run_job as task  # tasks are shells around services and import them

    task.delay(str(job_id))
