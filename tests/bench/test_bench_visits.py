"""2,000 visits that waited on phones, three readings each, sent by the hundred with another person's plots beside them.

    .venv/bin/pytest tests/bench/test_bench_visits.py --override-ini addopts= -s

The goal is the issue's: 60 s on two cores. Time is held to it by the process's CPU clock, since other work on the machine
adds to the wall time; both are printed as ratios to the goal. One visit at a time is printed beside it, for as many as
take a second or so.
"""

import json
from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from fieldlog.models import Reading, Visit
from tests.bench.clock import count_rows, timed

VISITS, A_BATCH, ALONE, GOAL_S = 2_000, 100, 50, 60
READ = (
    ("temperature", {"surface_f": 110, "under_f": 70}),
    ("cover", {"lines": ["1101" * 25, "0101" * 25]}),
    ("weeds", {"stage": "bud", "where": "edge", "plants": 12, "patch_length_ft": 20, "patch_width_ft": 4}),
)


def said(plots, number, sent_at):
    at = (sent_at - timedelta(minutes=10 * number)).isoformat()
    return {
        "id": str(uuid4()),
        "plot_id": plots[number % len(plots)].pk,
        "visited_at": at,
        "note": "Up.",
        "readings": [
            {"id": str(uuid4()), "kind": kind, "values": values, "taken_at": at} for kind, values in READ
        ],
    }


@pytest.mark.django_db
def test_two_thousand_queued_visits(client, farm, recorder, make_plot, capsys):
    client.force_login(recorder)
    plots = [make_plot(f"Plot {number}", lon=-92 + number / 100) for number in range(40)]
    sent_at = timezone.now()
    visits = [said(plots, number, sent_at) for number in range(VISITS)]
    alone = [said(plots, number, sent_at) for number in range(ALONE)]
    address = f"/api/v1/properties/{farm.slug}/visits/"
    count_rows()

    def send_all():
        for first in range(0, VISITS, A_BATCH):
            body = {"sent_at": sent_at.isoformat(), "visits": visits[first : first + A_BATCH]}
            answer = client.post(f"{address}batch/", json.dumps(body), "application/json")
            assert {each["status"] for each in answer.json()["answers"]} == {201}

    def send_alone():
        for each in alone:
            body = {name: value for name, value in each.items() if name != "id"}
            assert (
                client.put(f"{address}{each['id']}/", json.dumps(body), "application/json").status_code == 201
            )

    by_batch, one_by_one = timed(send_all), timed(send_alone)
    assert (Visit.objects.count(), Reading.objects.count()) == (VISITS + ALONE, 3 * (VISITS + ALONE))
    with capsys.disabled():
        wall, cpu = by_batch.wall_s / GOAL_S, by_batch.cpu_s / GOAL_S
        print(f"\n  2,000 visits by the hundred: {by_batch}, ratio to {GOAL_S} s: {wall:.3f} (CPU {cpu:.3f})")
        print(f"  {ALONE} one by one: {one_by_one}, {one_by_one.wall_s / ALONE * 1000:.1f} ms each")
    assert by_batch.cpu_s < GOAL_S
