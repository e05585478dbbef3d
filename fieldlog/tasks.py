"""Thin shells around services. Every task is safe to run twice."""

from celery import shared_task

from fieldlog.services import figures, photos, plan_work, rules


@shared_task(name="fieldlog.tasks.make_small_picture")
def make_small_picture(property_id, sha256):
    photos.make_small(property_id=property_id, sha256=sha256)


@shared_task(name="fieldlog.tasks.sweep")
def sweep():
    figures.remake_old()
    photos.make_missing_small()
    photos.remove_left_over()
    plan_work.follow_plans()
    rules.forget_ended_stands()
