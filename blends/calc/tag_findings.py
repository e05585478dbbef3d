"""What has to be said of a seed tag: worse than offered, too old, weeds, treatment, parts that do not add up.

Information, not legal advice: the rules are those of the US Federal Seed Act for shipment between states, and a
state's own come first where the seed is sold.
"""

import datetime
import re
from decimal import Decimal
from typing import NamedTuple

from blends.calc.seed import pure_live_fraction
from blends.calc.tags import (
    DATE_OF_TEST,
    NOXIOUS,
    TEST_MONTHS,
    TOLERANCES,
    germination_test_age,
    germination_tolerance,
)
from plots.calc.described import COMMON_PRACTICE, DEFINITION, Source

_CFR = "US Code of Federal Regulations"
NOXIOUS_LISTED = Source(
    "7 CFR 201.16, Noxious-weed seeds",
    _CFR,
    "2021",
    "https://www.ecfr.gov/current/title-7/section-201.16",
    note="Read as of 14 January 2021.",
)
TREATED = Source(
    "7 CFR 201.31a, Labeling treated seed",
    _CFR,
    "2020",
    "https://www.ecfr.gov/current/title-7/section-201.31a",
    note="Read as of 13 February 2020, paragraphs (a) and (b).",
)

STOP, WARN, NOTE = "stop", "warn", "note"
ROUNDED_POINTS = Decimal("0.1")
"""How far the parts of a tag may miss 100 % by rounding, percentage points. Common practice, no source."""

# Scientific names, genus and species, of the grasses that 7 CFR 201.22 lists by their common names; the names that
# the same grass goes by in the literature are from memory.
_LISTED_GRASSES = {
    "agrostis capillaris",
    "agrostis tenuis",
    "agrostis stolonifera",
    "poa pratensis",
    "festuca rubra",
    "festuca brevipila",
    "festuca trachyphylla",
    "festuca longifolia",
    "festuca arundinacea",
    "schedonorus arundinaceus",
    "schedonorus phoenix",
    "lolium arundinaceum",
    "lolium multiflorum",
    "lolium perenne",
}
_NONE = re.compile(
    r"\W*(none|nil|no(?!\W*\d)|0(?!\W?\d)|zero|free|not found|untreated|not treated)\b", re.IGNORECASE
)
# A treatment that is overlooked does harm, so only words that can mean nothing else say that there is none.
_UNTREATED = re.compile(
    r"\W*(?:untreated|not treated(?! with)|non-?treated)\b.*"
    r"|\W*(?:(?:n/a|nil|none|no|not applicable)\b(?:\W+(?:seed|treatment|treatments|applied|used|found))*)?\W*",
    re.IGNORECASE | re.DOTALL,
)


class Tag(NamedTuple):
    """What a tag or an offer says; None, or "" of words, where it says nothing. [% by weight; germination of pure seed]"""

    purity_pct: Decimal | None = None
    other_crop_pct: Decimal | None = None
    weed_seed_pct: Decimal | None = None
    inert_pct: Decimal | None = None
    germination_pct: Decimal | None = None
    hard_pct: Decimal | None = None
    dormant_pct: Decimal | None = None
    noxious: str = ""
    test_month: datetime.date | None = None
    treatment: str = ""


class Finding(NamedTuple):
    """One sentence on a tag. `level` is stop, warn or note; `rule` names the rule, `source` where it stands."""

    level: str
    sentence: str
    rule: str
    source: Source


def tag_of(row):
    """The tag on anything that has its fields: a lot, an offer, a purchase line. What it has not is unknown."""
    return Tag(**{name: getattr(row, name, Tag._field_defaults[name]) for name in Tag._fields})


def kind_of_test(scientific_name, is_sealed=False):
    """Which of the limits of 7 CFR 201.22 holds: a key of `TEST_MONTHS`.

    Examples
    --------
    >>> kind_of_test("Lolium perenne ssp. multiflorum"), kind_of_test("Trifolium repens"), kind_of_test("")
    ('listed-grass', 'ordinary', 'ordinary')
    """
    if is_sealed:
        return "hermetic"
    is_listed = " ".join((scientific_name or "").lower().split()[:2]) in _LISTED_GRASSES
    return "listed-grass" if is_listed else "ordinary"


def says_none(words):
    """Whether the words of a tag say that there is none, as in "None found" or "untreated".

    Examples
    --------
    >>> [says_none(words) for words in ("None found", "0 per lb", "Untreated", "Dodder 9/lb", "Nodding thistle 2/lb")]
    [True, True, True, False, False]
    """
    return bool(_NONE.match(words))


def names_treatment(words):
    """Whether the words of a tag name what was put on the seed; no words name nothing.

    Examples
    --------
    >>> [names_treatment(words) for words in ("", "-", "n/a", "Untreated, 2026 crop", "No treatment", "No. 2 fungicide")]
    [False, False, False, False, False, True]
    """
    return not _UNTREATED.fullmatch(words)


def findings(tag, on, *, offered=None, kind="ordinary", is_mix=False):
    """What has to be said of a tag, the gravest first.

    Parameters
    ----------
    tag : Tag
    on : date
        When the seed came.
    offered : Tag or None
        What was offered or ordered; None where there is nothing to hold it against.
    kind : str
        A key of `TEST_MONTHS`, by `kind_of_test`.
    is_mix : bool
        A bought mix: its tag gives each component's germination, which is kept with the blend.

    Returns
    -------
    list of Finding
        Empty where nothing stands against the tag.

    References
    ----------
    Beside each finding.

    Examples
    --------
    >>> from datetime import date
    >>> said = findings(Tag(Decimal(98), germination_pct=Decimal(85), test_month=date(2027, 3, 1)), date(2027, 9, 1))
    >>> said[0].rule, said[0].sentence
    ('7 CFR 201.22', 'The test of 2027-03 was too old from 2027-09-01 for shipment between states: 5 calendar months.')
    """
    found = [
        *_parts(tag),
        *_unread(tag, is_mix),
        *_worse(tag, offered),
        *_age(tag.test_month, on, kind),
        *_noxious(tag.noxious, offered),
        *_treated(tag.treatment, offered),
    ]
    return sorted(found, key=lambda each: (STOP, WARN, NOTE).index(each.level))


def _parts(tag):
    parts = (tag.purity_pct, tag.other_crop_pct, tag.weed_seed_pct, tag.inert_pct)
    named = "Pure seed, other crop seed, weed seed and inert matter"
    known = sum((part for part in parts if part is not None), Decimal(0))
    if known > 100 + ROUNDED_POINTS or (None not in parts and abs(known - 100) > ROUNDED_POINTS):
        said = f"{named} add up to {known:f} %, where they are the whole, 100 %. Read the tag again."
        yield Finding(STOP, said, "parts of 100 %", DEFINITION)
    alive = sum((part for part in _alive(tag) if part is not None), Decimal(0))
    if alive > 100:
        said = (
            f"Germination, hard and dormant seed add up to {alive:f} % of the pure seed. Read the tag again."
        )
        yield Finding(STOP, said, "parts of 100 %", DEFINITION)


def _unread(tag, is_mix):
    names = [("pure seed", tag.purity_pct), ("germination", None if is_mix else tag.germination_pct)]
    missing = [name for name, value in names if value is None and not (is_mix and name == "germination")]
    if missing and not is_mix:
        said = f"The tag's {' and '.join(missing)} {'is' if len(missing) == 1 else 'are'} not entered: "
        yield Finding(
            WARN,
            said + "how much of this seed will come up is unknown until it is.",
            "pure live seed",
            DEFINITION,
        )


def _worse(tag, offered):
    if offered is None:
        return
    if None not in (tag.purity_pct, offered.purity_pct) and tag.purity_pct < offered.purity_pct:
        said = f"Pure seed is {_pct(tag.purity_pct)}, {_pct(offered.purity_pct)} was offered."
        yield Finding(WARN, said, "the offer", DEFINITION)
    here, there = _grows(tag), _grows(offered)
    if None not in (here, there) and here < there:
        check = germination_tolerance(float(there), float(here))
        what = (
            "Germination"
            if tag.hard_pct is None and offered.hard_pct is None
            else "Germination with hard seed"
        )
        said = f"{what} is {_pct(here)}, {_pct(there)} was offered: "
        if check.shortfall_points > check.tolerance_points:
            said += f"more below it than the tolerance of {check.tolerance_points:g} points."
            yield Finding(WARN, said, "7 CFR 201.63", TOLERANCES)
        else:
            said += f"within the tolerance of {check.tolerance_points:g} points."
            yield Finding(NOTE, said, "7 CFR 201.63", TOLERANCES)
    elif None not in (here, there) and tag.germination_pct < offered.germination_pct:
        said = (
            f"Germination alone is {_pct(tag.germination_pct)}, {_pct(offered.germination_pct)} was offered: hard seed makes "
            "up for it, and may not come up this season."
        )
        yield Finding(NOTE, said, "the offer", DEFINITION)
    for level, what, name in ((WARN, "Weed", "weed_seed_pct"), (NOTE, "Other crop", "other_crop_pct")):
        here, there = getattr(tag, name), getattr(offered, name)
        if None not in (here, there) and here > there:
            yield Finding(
                level, f"{what} seed is {_pct(here)}, {_pct(there)} was offered.", "the offer", DEFINITION
            )
    here, there = _live(tag), _live(offered)
    if None not in (here, there) and here < there:
        said = f"Pure live seed is {100 * here:.1f} %, {100 * there:.1f} % was offered"
        if here > 0:
            said += f": for the same live seed it takes {100 * (there / here - 1):.1f} % more of it"
        yield Finding(NOTE, f"{said}.", "pure live seed", DEFINITION)


def _age(test_month, on, kind):
    if test_month is None:
        said = "The month of the test is not entered: how old it is, nobody can say."
        yield Finding(WARN, said, "7 CFR 201.22", DATE_OF_TEST)
        return
    if on < test_month.replace(day=1):
        said = f"The month of the test, {test_month:%Y-%m}, comes after {on}. Read the tag again."
        yield Finding(STOP, said, "7 CFR 201.22", DATE_OF_TEST)
        return
    age = germination_test_age(test_month, kind, on)
    if age.verdict == "too old":
        first = age.holds_until + datetime.timedelta(days=1)
        said = f"The test of {test_month:%Y-%m} was too old from {first} for shipment between states: "
        yield Finding(WARN, f"{said}{TEST_MONTHS[kind]} calendar months.", "7 CFR 201.22", DATE_OF_TEST)
        said = (
            "States set limits of their own for sale, and a sealed container has longer. Older seed may be sown, at what "
            "a new test says of it."
        )
        yield Finding(NOTE, said, "common practice", COMMON_PRACTICE)


def _noxious(words, offered):
    if not words.strip():
        yield Finding(
            NOTE,
            "Nothing is entered of noxious weed seeds; the tag names them, or says that there are none.",
            "7 CFR 201.16",
            NOXIOUS_LISTED,
        )
    elif not says_none(words):
        said = (
            f"Noxious weed seeds are listed: {words.strip()}. Which are allowed, and how many a pound, is for your state's "
            "list; what that forbids is not sown but sent back."
        )
        yield Finding(WARN, said, "7 CFR 201.16", NOXIOUS_LISTED)
        if offered is not None and says_none(offered.noxious):
            said = "The offer said that there are none. A number found may be above that of the label within a tolerance."
            yield Finding(WARN, said, "7 CFR 201.65", NOXIOUS)


def _treated(words, offered):
    if not names_treatment(words):
        return
    said = (
        f"Treated with {words.strip()}: never food, feed or bait, and nothing of it left lying. Sweep up what is spilled, wear "
        "what the label asks for, and follow the label before anything here."
    )
    yield Finding(WARN, said, "7 CFR 201.31a", TREATED)
    if offered is not None and not names_treatment(offered.treatment):
        yield Finding(WARN, "The offer named no treatment.", "the offer", DEFINITION)


def _alive(tag):
    return tag.germination_pct, tag.hard_pct, tag.dormant_pct


def _grows(tag):
    """Germination with hard seed, which is what the tolerance is for. [%]"""
    return None if tag.germination_pct is None else tag.germination_pct + (tag.hard_pct or 0)


def _live(tag):
    if tag.purity_pct is None or tag.germination_pct is None:
        return None
    alive_pct = min(sum(float(part or 0) for part in _alive(tag)), 100.0)
    return float(pure_live_fraction(float(tag.purity_pct), alive_pct))


def _pct(value):
    return f"{value.normalize():f} %"
