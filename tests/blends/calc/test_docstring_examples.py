"""The examples in the docstrings of the calculations say what they really give."""

import doctest

import pytest

from blends.calc import money, needs, packs, seed
from plots.calc import geodesy


@pytest.mark.parametrize("module", [geodesy, seed, packs, money, needs], ids=lambda module: module.__name__)
def test_docstring_examples_hold(module):
    results = doctest.testmod(module)
    assert results.attempted > 0
    assert results.failed == 0
