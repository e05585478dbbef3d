"""How running work says that it is alive and how far it is."""

from django.utils import timezone

from plots.models import Job


class Cancelled(Exception):
    """The person who watches the work has cancelled it. What it had found by then is the work's own to keep."""


def beat(job, steps_done):
    """Write the job's progress; steps beyond the total count as the total."""
    job.steps_done = min(max(steps_done, 0), job.steps_total)
    Job.objects.filter(pk=job.pk, state=Job.State.RUNNING).update(
        steps_done=job.steps_done, beat_at=timezone.now()
    )


def look_for_cancel(job):
    """To be called now and then by work that can be cancelled.

    Raises
    ------
    Cancelled
        Somebody has asked for it.
    """
    if Job.objects.filter(pk=job.pk, is_cancel_asked=True).exists():
        raise Cancelled
