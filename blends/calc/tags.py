"""What a seed tag promises under the rules of the US Federal Seed Act: tolerances, and how long a test holds.

Information, not legal advice. The rules are of shipment between states; each state has its own for sale in it.
"""

import calendar
import datetime
from typing import NamedTuple

import numpy as np

from plots.calc.described import BadInput, Quantity, Source, described

_CFR = "US Code of Federal Regulations"
_DECIMALS = 6  # a mean of 95.999… by float noise is 96

TOLERANCES = Source(
    "7 CFR 201.63, Germination (tolerances)",
    _CFR,
    "2020",
    "https://www.ecfr.gov/current/title-7/section-201.63",
    note="Read in a mirror of the code from before its revision of July 2020.",
)
NOXIOUS = Source(
    "7 CFR 201.65, Noxious-weed seeds in interstate commerce",
    _CFR,
    "no year",
    "http://laws9.com/cfr/text/7/201/65",
    note="A mirror with the amendments up to 11 January 2000; all 31 rows of the table were read.",
)
DATE_OF_TEST = Source(
    "7 CFR 201.22, Date of test",
    _CFR,
    "2020",
    "https://www.ecfr.gov/current/title-7/section-201.22",
    note="Read in a mirror of the code from before its revision of July 2020.",
)
HERMETIC = Source(
    "7 CFR 201.36c, Hermetically-sealed containers",
    _CFR,
    "2024",
    "https://www.ecfr.gov/current/title-7/section-201.36c",
    note="It sets dryness, packing and label of such a container.",
)

NOT_ADVICE = (
    "Information, not legal advice. This is the federal rule for shipment between states; state rules differ, and they "
    "come first where the seed is sold."
)

GERMINATION_TOLERANCE = ((96, 5), (90, 6), (80, 7), (70, 8), (60, 9), (0, 10))
"""Mean of label and test from which on, and the percentage points. Source: `TOLERANCES`."""

FEWER_SEEDS_POINTS = 2
"""Added when only 200 seeds of a component of a mixture were tested. Source: `TOLERANCES`."""

# fmt: off
NOXIOUS_WITHIN = (
    2, 4, 6, 8, 9, 11, 12, 13, 14, 16, 17, 18, 20, 21, 22, 23,
    24, 25, 27, 28, 29, 30, 32, 33, 34, 35, 37, 38, 39, 41, 42,
)
# fmt: on
"""Most seeds within tolerance for 0, 1, 2 … 30 on the label. Source: `NOXIOUS`."""

TEST_MONTHS = {"ordinary": 5, "listed-grass": 15, "hermetic": 24}
"""Calendar months after the month of the test. Source: `DATE_OF_TEST`."""


class GerminationCheck(NamedTuple):
    """A second test held against the label."""

    tolerance_points: float
    mean_pct: float
    shortfall_points: float
    verdict: str


@described(
    title="Germination within tolerance",
    topic="tag",
    inputs=[
        Quantity(
            "label_pct",
            "On the label",
            "%",
            least=0,
            most=100,
            example=94,
            help="Germination, or germination + hard seed.",
        ),
        Quantity(
            "test_pct", "By the new test", "%", least=0, most=100, example=90, help="The same of the two."
        ),
        Quantity(
            "seeds_tested",
            "Seeds tested",
            kind="choice",
            is_required=False,
            default=400,
            example=400,
            choices=((400, "400 or more"), (200, "200, of one component of a mixture")),
        ),
    ],
    answers=[
        Quantity("tolerance_points", "Tolerance", "percentage points", decimals=0),
        Quantity("mean_pct", "Mean of label and test", "%", decimals=1),
        Quantity("shortfall_points", "Test below the label by", "percentage points", decimals=1),
        Quantity("verdict", "Verdict", kind="text"),
    ],
    formula="by the mean of label and test: 96 and over 5; 90, 6; 80, 7; 70, 8; 60, 9; below 60, 10; + 2 for 200 seeds",
    sources=[TOLERANCES],
    notes=[
        NOT_ADVICE,
        "It is for an official test of a sample drawn by the rules; a test on a wet towel at home is a hint.",
    ],
)
def germination_tolerance(label_pct, test_pct, seeds_tested=400):
    """How far a new test may fall below the label, and whether it does.

    Examples
    --------
    >>> check = germination_tolerance(94, [90, 85, None])
    >>> check.tolerance_points, check.verdict.tolist()
    (array([ 6.,  7., nan]), ['within tolerance', 'below the label by more than the tolerance', 'not known'])
    """
    mean_pct = np.round((label_pct + test_pct) / 2, _DECIMALS)
    bands = [mean_pct >= least for least, _ in GERMINATION_TOLERANCE]
    points = np.select(bands, [float(each) for _, each in GERMINATION_TOLERANCE], np.nan)
    tested = np.asarray(seeds_tested, dtype=object)
    points = points + np.select([tested == 400, tested == 200], [0.0, float(FEWER_SEEDS_POINTS)], np.nan)
    shortfall = np.round(label_pct - test_pct, _DECIMALS)
    verdict = np.select(
        [np.isnan(shortfall + points), shortfall > points],
        ["not known", "below the label by more than the tolerance"],
        "within tolerance",
    )
    return GerminationCheck(points, mean_pct, shortfall, verdict)


class NoxiousCheck(NamedTuple):
    """Noxious-weed seeds found, held against the label."""

    most_within: float
    by_formula: float
    verdict: str


@described(
    title="Noxious-weed seeds within tolerance",
    topic="tag",
    inputs=[
        Quantity(
            "labelled_number",
            "Number on the label",
            "seeds",
            least=0,
            most=len(NOXIOUS_WITHIN) - 1,
            is_whole=True,
            example=9,
            help="In the amount that is examined.",
        ),
        Quantity(
            "found_number",
            "Number found",
            "seeds",
            least=0,
            is_whole=True,
            is_required=False,
            example=15,
            help="In the same amount. Left out: the tolerance alone.",
        ),
    ],
    answers=[
        Quantity("most_within", "Most within tolerance, by the table", "seeds", decimals=0),
        Quantity("by_formula", "The same by the printed formula", "seeds", decimals=1),
        Quantity("verdict", "Verdict", kind="text"),
    ],
    formula="a table of 0 to 30 seeds; the formula printed above it is X + 1.96 × √X",
    sources=[NOXIOUS],
    notes=[
        NOT_ADVICE,
        "The table decides. The printed formula, rounded up, gives less in 12 of its 31 rows; it does not make the table.",
        "The table ends at 30 seeds; beyond it the rule asks for a 5 % degree of certainty and prints no figure.",
        "A rate per pound or ounce has first to be turned into the number in the amount examined (7 CFR 201.46).",
        "Which weeds are noxious, and which are forbidden altogether, is for each state's own list.",
    ],
)
def noxious_tolerance(labelled_number, found_number=None):
    """Most seeds of a noxious weed that may be found where the label tells a number.

    Examples
    --------
    >>> check = noxious_tolerance([9, None], 17)
    >>> check.most_within, check.by_formula.round(2), check.verdict.tolist()
    (array([16., nan]), array([14.88,   nan]), ['more than the tolerance', 'not known'])
    """
    row = np.where(np.isnan(labelled_number), 0, labelled_number).astype(int)
    most_within = np.where(np.isnan(labelled_number), np.nan, np.asarray(NOXIOUS_WITHIN, dtype=float)[row])
    verdict = np.select(
        [np.isnan(most_within), np.isnan(found_number), found_number > most_within],
        ["not known", "nothing found to compare", "more than the tolerance"],
        "within tolerance",
    )
    return NoxiousCheck(most_within, labelled_number + 1.96 * np.sqrt(labelled_number), verdict)


class AgeOfTest(NamedTuple):
    """Until when a germination test holds."""

    holds_until: datetime.date | None
    days_left: float
    verdict: str
    months: float


@described(
    title="Age of a germination test",
    topic="tag",
    inputs=[
        Quantity(
            "tested_on",
            "Month of the test",
            kind="date",
            example=datetime.date(2027, 3, 1),
            help="Any day of it; a mixture shows its oldest.",
        ),
        Quantity(
            "kind",
            "Seed",
            kind="choice",
            is_required=False,
            default="ordinary",
            example="ordinary",
            choices=(
                ("ordinary", "any other, such as clover, grain and peas"),
                ("listed-grass", "a listed bentgrass, bluegrass, fescue or ryegrass"),
                ("hermetic", "packed in a hermetically sealed container"),
            ),
        ),
        Quantity(
            "shipped_on",
            "Day of shipment",
            kind="date",
            is_required=False,
            example=datetime.date(2027, 8, 20),
            help="Left out: the last day alone.",
        ),
    ],
    answers=[
        Quantity("holds_until", "Last day", kind="date"),
        Quantity("days_left", "Days left at shipment", "days", is_whole=True, decimals=0),
        Quantity("verdict", "Verdict", kind="text"),
        Quantity("months", "Calendar months after the month of the test", "months", decimals=0),
    ],
    formula="end of the month of the test + 5 calendar months; 15 for the listed grasses; 24 if hermetically sealed",
    sources=[DATE_OF_TEST, HERMETIC],
    notes=[
        NOT_ADVICE,
        "It is for shipment, not for planting: older seed may be sown, at what a new test says of it.",
        "The listed grasses are colonial and creeping bentgrass, Kentucky bluegrass, chewings, hard, red and tall "
        "fescue, annual and perennial ryegrass.",
    ],
)
def germination_test_age(tested_on, kind="ordinary", shipped_on=None):
    """Until when seed may be shipped between states on a germination test.

    Examples
    --------
    >>> from datetime import date
    >>> germination_test_age(date(2027, 9, 3), "ordinary", date(2028, 3, 1))
    AgeOfTest(holds_until=datetime.date(2028, 2, 29), days_left=-1.0, verdict='too old', months=5.0)
    >>> germination_test_age(None)
    AgeOfTest(holds_until=None, days_left=nan, verdict='not known', months=5.0)
    """
    months = float(TEST_MONTHS.get(kind, np.nan))
    if tested_on is None or kind is None:
        return AgeOfTest(None, np.nan, "not known", months)
    holds_until = _end_of_month(tested_on, TEST_MONTHS[kind])
    if shipped_on is None:
        return AgeOfTest(holds_until, np.nan, "no day of shipment", months)
    if shipped_on < tested_on.replace(day=1):
        raise BadInput(
            "shipped_on",
            f"Day of shipment is {shipped_on}; accepted is the month of the test, {tested_on:%Y-%m}, or later",
        )
    days_left = (holds_until - shipped_on).days
    return AgeOfTest(holds_until, float(days_left), "too old" if days_left < 0 else "in time", months)


def _end_of_month(day, months_later):
    year, month = divmod(day.year * 12 + day.month - 1 + months_later, 12)
    if year > datetime.MAXYEAR:
        raise BadInput("tested_on", f"Month of the test is in the year {day.year}; accepted is up to 9997")
    return datetime.date(year, month + 1, calendar.monthrange(year, month + 1)[1])
