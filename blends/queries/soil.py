"""A plot's soil tests as its pages show them: rows with their words, and the picture of the trend."""

from dataclasses import dataclass

from blends.pictures.soil import MEASURES, Sample, decimals_of, soil_picture
from plots.calc.soil_units import is_furrow_slice, ppm_to_lb_per_acre
from plots.ground import soil_tests_of
from plots.models import SoilTest

_SHORT = {"ph": "pH", "organic_matter_pct": "OM", "p_ppm": "P", "k_ppm": "K", "cec_meq_per_100g": "CEC"}
_COMPARABLE = (SoilTest.PMethod.MEHLICH_3, SoilTest.PMethod.BRAY_1, SoilTest.PMethod.OLSEN)


@dataclass(frozen=True)
class SoilRow:
    """A test for a table: its depth in words, and a Cell for each of `MEASURES`."""

    test: SoilTest
    depth: str
    cells: list

    @property
    def is_depth_odd(self):
        """Whether P and K came in lb/ac for a depth that 2 lb to the ppm does not stand for."""
        test = self.test
        given_lb = test.reported_in == SoilTest.ReportedIn.LB_PER_ACRE and (test.p_ppm, test.k_ppm) != (
            None,
            None,
        )
        return given_lb and not is_furrow_slice(test.depth_top_in, test.depth_bottom_in)


@dataclass(frozen=True)
class Cell:
    """A figure as text, empty where it was not measured, and what stands small beside it."""

    figure: str
    beside: str
    head: str
    short: str
    unit: str


def soil_rows(tests):
    """The tests as rows, in their order."""
    return [SoilRow(test, depth_words(test), _cells(test)) for test in tests]


def soil_of(plot):
    """What the plot's page says of its soil: {"soil": counts, the latest test that is not struck, the picture}."""
    tests = list(soil_tests_of(plot))
    counted = [test for test in tests if not test.is_struck]
    return {
        "soil": {
            "count": len(tests),
            "counted": len(counted),
            "latest": soil_rows(counted[:1])[0] if counted else None,
            "picture": picture_of("soil", counted),
        }
    }


def picture_of(key, tests):
    """The picture of the tests that are not struck; None while there are none."""
    samples = [_sample(test) for test in tests if not test.is_struck]
    return soil_picture(key, samples) if samples else None


def depth_words(test):
    """'0–6 in'."""
    return f"{_plain(test.depth_top_in)}–{_plain(test.depth_bottom_in)} in"


def _sample(test):
    return Sample(
        sampled_on=test.sampled_on,
        depth=depth_words(test),
        figures={name: getattr(test, name) for name, *_ in MEASURES},
        p_method=test.get_p_method_display() if test.p_method else "",
        p_key=test.p_method if test.p_method in _COMPARABLE else None,
        lab=test.lab,
    )


def _cells(test):
    return [_cell(test, *measure) for measure in MEASURES]


def _cell(test, name, words, unit, decimals):
    figure = getattr(test, name)
    named = {"head": f"{words}{f',{unit}' if unit else ''}", "short": _SHORT[name], "unit": unit}
    if figure is None:
        return Cell("", "", **named)
    beside = []
    if name == "p_ppm" and test.p_method:
        beside.append(test.get_p_method_display())
    if name in ("p_ppm", "k_ppm") and test.reported_in == SoilTest.ReportedIn.LB_PER_ACRE:
        beside.append(f"{_plain(ppm_to_lb_per_acre(figure))} lb/ac")
    return Cell(f"{figure:,.{decimals_of(figure, decimals)}f}", ", ".join(beside), **named)


def _plain(figure):
    return f"{figure.normalize():f}"
