"""How running work says that it is alive and how far it is."""

from django.utils import timezone

from plots.models import Job


def beat(job, steps_done):
    """Write the job's progress; steps beyond the total count as the total."""
    job.steps_done = min(max(steps_done, 0), job.steps_total)
    Job.objects.filter(pk=job.pk, state=Job.State.RUNNING).update(
        steps_done=job.steps_done, beat_at=timezone.now()
    )
