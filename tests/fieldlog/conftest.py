"""A calculation that is written nowhere but in a package of the tests."""

import pytest

from fieldlog import calculations


@pytest.fixture
def honey(monkeypatch):
    """Its description, with the site looking into its package too."""
    monkeypatch.setattr(calculations, "PACKAGES", (*calculations.PACKAGES, "tests.fieldlog.written_once"))
    return calculations.calculation_named("honey-jars")
