"""Two clocks and a race: other work on the machine adds to the wall time, and to the CPU time hardly."""

from time import perf_counter, process_time
from typing import NamedTuple

from django.db import connection


class Times(NamedTuple):
    """Wall seconds, and CPU seconds of this process and all its threads; a database server's are not in it."""

    wall_s: float
    cpu_s: float

    def __str__(self):
        return f"{self.wall_s * 1000:,.0f} ms (CPU {self.cpu_s * 1000:,.0f})"

    def ratio_to(self, base):
        """Ours to the base by each clock, the wall's first."""
        return self.wall_s / base.wall_s, self.cpu_s / base.cpu_s


def timed(function):
    wall, cpu = perf_counter(), process_time()
    function()
    return Times(perf_counter() - wall, process_time() - cpu)


def best_of(rounds, *functions, before=lambda: None):
    """The best Times of each function; they take turns, so that a busy minute falls on all of them."""
    taken = [[] for _ in functions]
    for _ in range(rounds):
        for times, function in zip(taken, functions, strict=True):
            before()
            times.append(timed(function))
    return [Times(*map(min, zip(*times, strict=True))) for times in taken]


def count_rows():
    """Let PostgreSQL plan for the rows there are: of a transaction that is not committed it counts none."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")


def said(what, times, base):
    """One line: the times of `what`, and its ratio to the base."""
    wall, cpu = times.ratio_to(base)
    return f"  {what:44}{times!s:>28}   ratio {wall:.2f} (CPU {cpu:.2f})"
