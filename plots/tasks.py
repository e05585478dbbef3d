"""Celery shells around services; each is safe to run twice."""

from celery import shared_task

from plots.services import comparing, jobs


@shared_task(name="plots.tasks.run_job")
def run_job(job_id):
    jobs.run_job(job_id)


@shared_task(name="plots.tasks.sweep")
def sweep():
    jobs.take_up_unfinished()
    comparing.compare_uncompared()
