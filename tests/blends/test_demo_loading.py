"""How the demonstration is loaded: whole, once, and only where nobody else is."""

import pytest

from blends.models import Planting
from blends.services import demo
from config.errors import Refused
from plots.models import Boundary, User


def test_a_load_that_was_cut_short_goes_on_where_it_stopped(db, monkeypatch):
    with monkeypatch.context() as patched:
        patched.setattr(demo, "_choose", lambda *args: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            demo.load_demo()
    demo.load_demo()
    assert Planting.objects.count() == 35
    assert Boundary.objects.count() == 14


def test_people_of_its_own_keep_the_demonstration_out(owner):
    with pytest.raises(Refused, match="without people"):
        demo.load_demo()


@pytest.mark.parametrize("password", [demo.PASSWORD, "another password"])
def test_it_is_open_as_long_as_its_password_is_the_known_one(db, password):
    User.objects.create_user("demo-owner", password=password)
    assert demo.is_open() is (password == demo.PASSWORD)
