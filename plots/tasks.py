"""Celery shells around services/jobs.py; each is safe to run twice."""

from celery import shared_task

from plots.services import jobs


@shared_task(name="plots.tasks.run_job")
def run_job(job_id):
    jobs.run_job(job_id)


@shared_task(name="plots.tasks.sweep")
def sweep():
    jobs.take_up_unfinished()
