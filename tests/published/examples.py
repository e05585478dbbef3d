"""Worked examples from extension services, agencies and test suites.

`data/worked_examples.csv` names for each row its title, publisher, year, address and basis, the unit, and the
relative tolerance, which is what the source's own rounding leaves open. `printed` holds a published figure that
is wrong; `expected` is then the right arithmetic on the published inputs.

Each test module beside this one has `CALCULATIONS`, by id of the row what computes it from the row's inputs, and
`HAVE_THEIR_OWN_TEST`, the ids that need more than that.
"""

import csv
import json
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ROWS = {
    row["id"]: row
    for row in csv.DictReader((HERE / "data/worked_examples.csv").read_text(encoding="utf-8").splitlines())
}


def inputs_of(name):
    return json.loads(ROWS[name]["inputs_json"])


def published(name):
    """The expected figure with the row's tolerance; a list where the row has several."""
    row = ROWS[name]
    return pytest.approx(json.loads(row["expected"]), rel=float(row["tolerance_rel"]))


def assert_published(name, calculate):
    row = ROWS[name]
    result = calculate(**inputs_of(name))
    assert result == published(name), f"{row['source_title']}, {row['publisher']}, {row['year']}"
    if row["printed"]:
        assert result != pytest.approx(float(row["printed"]), rel=0.01), row["basis"]
