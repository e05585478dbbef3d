"""Thin shells around services. Every task is safe to run twice."""

from celery import shared_task

from blends.services import orders


@shared_task(name="blends.tasks.recompute_order")
def recompute_order(order_id):
    orders.recompute_order(order_id)


@shared_task(name="blends.tasks.sweep")
def sweep():
    orders.recompute_stale()
