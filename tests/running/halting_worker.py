"""A real worker that halts in the middle of its work, to be killed there.

    python tests/running/halting_worker.py measuring|order|picture FILE

It makes FILE when it has halted.
"""

import sys
import time
from pathlib import Path

import django

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from config.running import part


def halt_on_call(number, function):
    """The function, halting before its call of that number returns."""
    calls = []

    def halting(*arguments, **options):
        result = function(*arguments, **options)
        calls.append(result)
        if len(calls) == number:
            Path(sys.argv[2]).touch()
            time.sleep(600)
        return result

    return halting


def halt_in_measuring():
    """Four boundaries are measured and stored; the next four are written and not committed."""
    from plots.services import measuring

    measuring._CHUNK = 4
    measuring.beat = halt_on_call(2, measuring.beat)


def halt_in_order():
    """The old lines are gone and the new ones written, none of it committed."""
    from blends.services import orders

    orders._store_costs = halt_on_call(1, orders._store_costs)


def halt_in_picture():
    """Some tiles are cut, and the process that cuts is at work."""
    from plots.services import cutting

    beat = cutting.beat
    cutting._BEAT_EVERY_S = 0.05

    def halting(job, tiles):
        beat(job, tiles)
        if tiles:
            Path(sys.argv[2]).touch()
            time.sleep(600)

    cutting.beat = halting


django.setup()
{"measuring": halt_in_measuring, "order": halt_in_order, "picture": halt_in_picture}[sys.argv[1]]()
part.worker()
