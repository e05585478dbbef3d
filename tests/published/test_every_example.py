"""No row of the worked examples is left without its test."""

from importlib import import_module

from tests.published.examples import HERE, ROWS


def test_every_example_has_its_calculation_once():
    covered = []
    for path in sorted(HERE.glob("test_*_examples.py")):
        module = import_module(f"tests.published.{path.stem}")
        covered += [*module.CALCULATIONS, *module.HAVE_THEIR_OWN_TEST]
    assert sorted(covered) == sorted(ROWS)
