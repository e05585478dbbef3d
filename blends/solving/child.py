"""The process that searches: `python -m blends.solving.child FOLDER`.

It takes FOLDER/request.json and keeps FOLDER/found.json: what is known so far, always whole. So whoever ends it has the
best way that was found until then.
"""

import json
import os
import sys
import time
from pathlib import Path

from plots.processes import end_with_parent, limit_this

_FILE_BYTES = 50_000_000
_QUESTIONS_SHARE = 0.5  # of the time, for all that is asked beside the way itself


def main(folder):
    end_with_parent()
    request = json.loads((folder / "request.json").read_text(encoding="utf-8"))
    limit_this(request["seconds"], request["memory_mb"], _FILE_BYTES)

    from blends.calc.buying import from_plain, split_uncovered

    problem, uncovered = split_uncovered(from_plain(request["problem"]))
    asked_s = request["asked_seconds"]
    found = _Found(folder / "found.json", uncovered)
    solution = found.searched("main", problem, asked_s, found.main)
    found.main(solution)
    _ask_beside(problem, solution, found, asked_s * _QUESTIONS_SHARE)
    found.done()


def _ask_beside(problem, solution, found, seconds):
    from blends.calc.buying_explain import questions

    asked = [question for question in questions(problem) if solution.packs or question.key != "packs"]
    found.values["steps"] = 1 + len(asked)
    until = time.monotonic() + seconds
    for number, question in enumerate(asked):
        left = max(until - time.monotonic(), 0.5)
        share_s = max(left / (len(asked) - number), 0.5)
        found.beside(question, _answered(question, found, share_s))


def _answered(question, found, seconds):
    from blends.calc.buying_model import cheapest

    if question.problem is None:
        return None
    if question.whole_packs:
        return found.searched(question.key, question.problem, seconds)
    return cheapest(question.problem, seconds=seconds, whole_packs=False)


class _Found:
    """What is known, written whole at every step."""

    def __init__(self, path, uncovered):
        self.path = path
        self.values = {
            "main": None,
            "beside": [],
            "steps": 1,
            "steps_done": 0,
            "uncovered": [vars(row) for row in uncovered],
        }
        self.write()

    def searched(self, key, problem, seconds, told=lambda solution: None):
        from blends.calc.buying_search import search

        until = time.monotonic() + seconds
        return search(problem, stop=lambda: time.monotonic() > until, told=told, seconds=min(seconds, 30.0))

    def main(self, solution):
        self.values["main"] = _plain(solution)
        if solution.state != "stopped" or solution.bound_usd:
            self.values["steps_done"] = 1
        self.write()

    def beside(self, question, solution):
        self.values["beside"].append(
            {
                "key": question.key,
                "row": question.row,
                "lacks": list(question.lacks),
                "solution": None if solution is None else _plain(solution),
            }
        )
        self.values["steps_done"] += 1
        self.write()

    def done(self):
        self.values["steps_done"] = self.values["steps"]
        self.values["is_done"] = True
        self.write()

    def write(self):
        partial = self.path.with_suffix(".partial")
        partial.write_text(json.dumps(self.values), encoding="utf-8")
        os.replace(partial, self.path)


def _plain(solution):
    return {
        "state": solution.state,
        "packs": None if solution.packs is None else sorted(solution.packs.items()),
        "swaps": sorted(solution.swaps.items()),
        "total_usd": None if solution.total_usd is None else str(solution.total_usd),
        "bound_usd": solution.bound_usd,
    }


if __name__ == "__main__":
    main(Path(sys.argv[1]))
