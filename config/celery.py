"""The Celery application. Tasks are thin shells around services and safe to run twice."""

import os

from celery import Celery
from celery.signals import worker_ready

from config.broker import use_whole_messages

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
use_whole_messages()

app = Celery("swardbook")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()

SWEEPS = ("plots.tasks.sweep", "blends.tasks.sweep", "fieldlog.tasks.sweep")


@app.on_after_finalize.connect
def add_sweeps(sender, **kwargs):
    from django.conf import settings

    for name in SWEEPS:
        sender.add_periodic_task(
            settings.SWEEP_SECONDS,
            sender.signature(name),
            name=name,
            expires=settings.SWEEP_SECONDS,  # a sweep that waited for a slow worker is replaced by the next
        )


@worker_ready.connect
def sweep_at_once(sender, **kwargs):
    """What was left while there was no worker is taken up as soon as there is one."""
    for name in SWEEPS:
        app.send_task(name)
