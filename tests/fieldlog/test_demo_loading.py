"""How the record of the demonstration's ground is loaded: whole or not at all."""

import pytest

from blends.services import demo as planned
from fieldlog.models import Visit
from fieldlog.services import demo
from plots.models import Boundary, Landmark, SoilTest


def test_a_load_that_was_cut_short_is_made_good_by_the_next(db, monkeypatch):
    with monkeypatch.context() as patched:
        patched.setattr(demo, "_visits", lambda *args: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            demo.load_demo()
    assert not Landmark.objects.exists()
    demo.load_demo()
    assert Boundary.objects.count() == 14 + 3
    assert SoilTest.objects.count() == 10


def test_a_demonstration_without_a_record_gets_one(db):
    planned.load_demo()
    demo.load_demo()
    assert Visit.objects.exists()
