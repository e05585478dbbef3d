"""What is said of a seed tag; the rules are 7 CFR 201 of the US Code of Federal Regulations, section by section."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import pytest

from blends.calc.tag_findings import TREATED, Tag, findings, kind_of_test, names_treatment, says_none, tag_of

CLEAN = Tag(
    purity_pct=Decimal("98.00"),
    other_crop_pct=Decimal("0.50"),
    weed_seed_pct=Decimal("0.10"),
    inert_pct=Decimal("1.40"),
    germination_pct=Decimal(94),
    noxious="None found",
    test_month=date(2027, 3, 1),
)
IN_TIME = date(2027, 4, 20)


def said(tag=CLEAN, on=IN_TIME, **how):
    """Level and rule of everything that is found."""
    return [(each.level, each.rule) for each in findings(tag, on, **how)]


def with_(**values):
    return CLEAN._replace(**values)


def test_clean_tag_has_nothing_against_it():
    assert said(offered=CLEAN) == []


@pytest.mark.parametrize(
    ("label_pct", "test_pct", "level"),
    [
        (94, 90, "note"),  # TAG-01: mean 92, tolerance 6 points (7 CFR 201.63, US CFR, read in a mirror)
        (94, 88, "note"),  # 6 points below is within
        (94, 87, "warn"),  # mean 90.5, 7 points below
        (63, 55, "note"),  # TAG-02: mean 59, tolerance 10 points (the same section)
        (65, 53, "warn"),  # 12 points below
    ],
)
def test_germination_below_the_offer_is_held_against_the_tolerance(label_pct, test_pct, level):
    found = said(with_(germination_pct=Decimal(test_pct)), offered=with_(germination_pct=Decimal(label_pct)))
    assert (level, "7 CFR 201.63") in found


def test_hard_seed_counts_with_germination():
    # 7 CFR 201.63: the tolerance is for germination, or for germination and hard seed together.
    offered = with_(germination_pct=Decimal(70), hard_pct=Decimal(20))
    found = findings(with_(germination_pct=Decimal(60), hard_pct=Decimal(30)), IN_TIME, offered=offered)
    assert [each.rule for each in found] == ["the offer"]
    assert found[0].sentence == (
        "Germination alone is 60 %, 70 % was offered: hard seed makes up for it, and may not come up this season."
    )


def test_more_weed_and_other_crop_seed_than_offered_is_said():
    tag = with_(weed_seed_pct=Decimal("0.30"), other_crop_pct=Decimal("0.60"), inert_pct=Decimal("1.10"))
    assert [(each.level, each.sentence) for each in findings(tag, IN_TIME, offered=CLEAN)] == [
        ("warn", "Weed seed is 0.3 %, 0.1 % was offered."),
        ("note", "Other crop seed is 0.6 %, 0.5 % was offered."),
    ]
    assert said(tag, offered=with_(weed_seed_pct=None, other_crop_pct=None)) == []


def test_less_live_seed_says_how_much_more_it_takes():
    offered = with_(germination_pct=Decimal(90))
    sentences = [
        each.sentence for each in findings(with_(germination_pct=Decimal(75)), IN_TIME, offered=offered)
    ]
    # 98 % × 90 % = 88.2 %, 98 % × 75 % = 73.5 %, and 88.2 ÷ 73.5 = 1.2 (by definition)
    assert (
        "Pure live seed is 73.5 %, 88.2 % was offered: for the same live seed it takes 20.0 % more of it."
        in sentences
    )


def test_less_pure_seed_than_offered_is_said():
    tag = with_(purity_pct=Decimal("96.5"), inert_pct=Decimal("2.9"))
    assert findings(tag, IN_TIME, offered=CLEAN)[0].sentence == "Pure seed is 96.5 %, 98 % was offered."


@pytest.mark.parametrize(
    ("kind", "last_day_in_time", "first_day_too_old"),
    [
        # TAG-04: 5 calendar months after the month of the test (7 CFR 201.22, US CFR, read in a mirror)
        ("ordinary", date(2027, 8, 31), date(2027, 9, 1)),
        # the listed grasses 15, sealed containers 24 (the same section)
        ("listed-grass", date(2028, 6, 30), date(2028, 7, 1)),
        ("hermetic", date(2029, 3, 31), date(2029, 4, 1)),
    ],
)
def test_test_older_than_the_limit_is_said(kind, last_day_in_time, first_day_too_old):
    assert said(on=last_day_in_time, kind=kind) == []
    assert ("warn", "7 CFR 201.22") in said(on=first_day_too_old, kind=kind)


def test_test_without_a_month_is_unknown_and_one_to_come_is_wrong():
    assert said(with_(test_month=None)) == [("warn", "7 CFR 201.22")]
    assert said(on=date(2027, 2, 27)) == [("stop", "7 CFR 201.22")]


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("Lolium perenne ssp. multiflorum", "listed-grass"),  # annual ryegrass, 7 CFR 201.22
        ("Schedonorus arundinaceus (Schreb.) Dumort.", "listed-grass"),  # tall fescue, the same
        ("Secale cereale", "ordinary"),
        ("", "ordinary"),
        (None, "ordinary"),
    ],
)
def test_limit_follows_the_species(name, kind):
    assert kind_of_test(name) == kind
    assert kind_of_test(name, is_sealed=True) == "hermetic"


def test_noxious_weeds_are_named_with_their_numbers():
    # 7 CFR 201.16 (a): named with their rate of occurrence, as the law of the state has it
    tag = with_(noxious="Dodder 9/lb, curly dock 18/lb")
    found = findings(tag, IN_TIME, offered=CLEAN)
    assert "Dodder 9/lb, curly dock 18/lb" in found[0].sentence
    assert [each.rule for each in found] == ["7 CFR 201.16", "7 CFR 201.65"]
    assert said(with_(noxious="")) == [("note", "7 CFR 201.16")]


def test_treated_seed_is_never_feed():
    found = findings(with_(treatment="fludioxonil"), IN_TIME, offered=CLEAN)
    assert found[0].rule == "7 CFR 201.31a"  # the substance is named on the label
    assert "Treated with fludioxonil: never food, feed or bait" in found[0].sentence
    assert found[1].sentence == "The offer named no treatment."
    assert said(with_(treatment="fludioxonil"), offered=with_(treatment="fludioxonil")) == [
        ("warn", "7 CFR 201.31a")
    ]
    assert said(with_(treatment="Untreated")) == []


@pytest.mark.parametrize(
    ("values", "stops"),
    [
        ({"inert_pct": Decimal("0.90")}, True),  # 99.5 %
        ({"inert_pct": Decimal("1.45")}, False),  # 100.05 %: rounding
        ({"inert_pct": Decimal("2.40")}, True),  # 101 %
        ({"inert_pct": None}, False),  # one part unknown: nothing to add up
        ({"purity_pct": Decimal(100), "inert_pct": None}, True),  # more than the whole already
        ({"hard_pct": Decimal(7)}, True),  # 94 + 7 of the pure seed
        ({"hard_pct": Decimal(6)}, False),
    ],
)
def test_parts_are_the_whole(values, stops):
    assert (("stop", "parts of 100 %") in said(with_(**values))) is stops


def test_unread_tag_is_unknown_and_never_good():
    empty = findings(Tag(), IN_TIME, offered=CLEAN)
    assert [each.rule for each in empty] == ["pure live seed", "7 CFR 201.22", "7 CFR 201.16"]
    assert empty[0].sentence.startswith("The tag's pure seed and germination are not entered")


def test_mix_is_not_asked_for_one_germination():
    assert said(with_(germination_pct=None), is_mix=True) == []


def test_gravest_comes_first():
    tag = with_(noxious="Dodder 9/lb", inert_pct=Decimal(5), germination_pct=Decimal(93))
    assert [level for level, _ in said(tag, offered=CLEAN)] == ["stop", "warn", "warn", "note", "note"]


@pytest.mark.parametrize(
    "words", ["None", "none found.", "0/lb", "NIL", "(none)", "Not treated", "not found"]
)
def test_words_for_none(words):
    assert says_none(words)


@pytest.mark.parametrize(
    "words",
    ["Dodder", "Nodding thistle 3/lb", "10/lb dock", "nonanal", "", "0.5/lb dodder", "No. 2 list: dock"],
)
def test_words_that_are_not_none(words):
    assert not says_none(words)


@pytest.mark.parametrize(
    ("words", "is_named"),
    [
        ("", False),
        (" - ", False),
        ("N/A", False),
        ("none", False),
        ("No seed treatment applied.", False),
        ("Untreated seed, 2026", False),
        ("Not treated (organic)", False),
        # a treatment that is overlooked does harm
        ("0.5 oz/cwt fludioxonil", True),
        ("No. 4 fungicide", True),
        ("Non-GMO, thiram", True),
        ("None but thiram", True),
        ("mefenoxam", True),
        ("Not treated with thiram but with captan", True),
    ],
)
def test_a_treatment_is_not_overlooked(words, is_named):
    assert names_treatment(words) is is_named
    assert (
        bool([each for each in findings(with_(treatment=words), IN_TIME) if each.source == TREATED])
        is is_named
    )


def test_tag_is_read_off_whatever_has_its_fields():
    @dataclass
    class Line:
        purity_pct: Decimal = Decimal(98)
        germination_pct: Decimal | None = None

    assert tag_of(Line()) == Tag(purity_pct=Decimal(98))
