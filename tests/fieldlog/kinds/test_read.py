"""What every kind keeps, whatever was typed or sent: nothing impossible, no figure that fails."""

import json
from math import isfinite

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fieldlog.kinds import KINDS
from fieldlog.kinds.answers import CHOICE, FLAG, MOST_ROWS, NUMBER, NUMBERS, POINTS, ROWS, SPECIES, TEXT
from fieldlog.kinds.described import Facts, Figure, Sown
from fieldlog.safety import BY_KEY

JUNK = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=12)
    | st.sampled_from(["nan", "1e999", "1,5", "-0", "\ud800", "\x00", "0 ", "１２"]),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=8,
)
FACTS = st.builds(
    Facts,
    sown=st.lists(
        st.builds(
            Sown,
            species_id=st.integers(1, 4),
            name=st.sampled_from(["Oats", "Rye"]),
            live_seeds_per_ft2=st.none() | st.floats(0, 500),
            days_to_bloom=st.none() | st.just((40.0, 60.0)),
            days_to_seed=st.none() | st.just((80.0, 100.0)),
        ),
        max_size=3,
    ).map(tuple),
    age_days=st.none() | st.integers(0, 900),
    row_spacing_in=st.none() | st.floats(1, 60),
    texture=st.sampled_from(["", "loam", "clay", "peat"]),
    acres=st.none() | st.floats(0, 500),
)


def value_of(step):
    """What `read` accepts of a step, with its edges."""
    if step.ask == NUMBER:
        return _number(step)
    if step.ask == NUMBERS:
        return st.lists(st.none() | _number(step), max_size=6)
    if step.ask == CHOICE:
        return st.sampled_from([each.value for each in step.choices])
    if step.ask == FLAG:
        return st.booleans()
    if step.ask == POINTS:
        return st.lists(st.text("01", max_size=int(step.most)), max_size=4)
    if step.ask == SPECIES:
        return st.fixed_dictionaries(
            {"name": st.sampled_from(["Oats", "A tall weed"])}, optional={"id": st.none() | st.integers(1, 4)}
        )
    if step.ask == ROWS:
        return st.lists(answers_to(step.columns), max_size=5)
    return st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=20)


def _number(step):
    low = -1000 if step.least is None else step.least
    high = 1e6 if step.most is None else step.most
    if step.is_whole:
        return st.integers(int(low), int(high))
    return st.floats(low, high) | st.sampled_from([low, high])


def answers_to(steps):
    return st.fixed_dictionaries({}, optional={step.name: value_of(step) for step in steps})


def every_kind(test):
    return pytest.mark.parametrize("kind", KINDS.values(), ids=list(KINDS))(test)


def is_possible(step, value):
    if step.ask == NUMBER:
        is_inside = (step.least is None or value >= step.least) and (step.most is None or value <= step.most)
        return isfinite(value) and is_inside and (not step.is_whole or isinstance(value, int))
    if step.ask == NUMBERS:
        column = type(step)(step.name, step.label, least=step.least, most=step.most, is_whole=step.is_whole)
        return len(value) <= MOST_ROWS and all(each is None or is_possible(column, each) for each in value)
    if step.ask == CHOICE:
        return value in [each.value for each in step.choices]
    if step.ask == FLAG:
        return isinstance(value, bool)
    if step.ask == TEXT:
        return isinstance(value, str) and len(value) <= step.longest and "\x00" not in value
    if step.ask == POINTS:
        return all(0 < len(line) <= step.most and set(line) <= {"0", "1"} for line in value)
    if step.ask == SPECIES:
        return 0 < len(value["name"]) <= 80 and (value["id"] is None or value["id"] > 0)
    names = {column.name: column for column in step.columns}
    return all(is_possible(names[name], each) for row in value for name, each in row.items())


@every_kind
@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_whatever_is_sent_is_kept_only_where_it_can_be(kind, data):
    names = [step.name for step in kind.steps]
    values = data.draw(
        JUNK | st.dictionaries(st.sampled_from(names) | st.text(max_size=6), JUNK, max_size=len(names))
    )
    kept, wrong = kind.read(values)
    steps = {step.name: step for step in kind.steps}
    assert all(is_possible(steps[name], value) for name, value in kept.items())
    assert all(isinstance(sentence, str) and sentence for sentence in wrong.values())
    assert not set(kept) & set(wrong)
    json.dumps(kept, allow_nan=False).encode()
    assert kind.read(kept) == (kept, {})


@every_kind
@settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_figures_never_fail_and_are_plain(kind, data):
    values, wrong = kind.read(data.draw(answers_to(kind.steps)))
    assert wrong == {}
    of_kind, wrong = kind.read_settings(data.draw(answers_to(kind.settings)))
    assert wrong == {}
    figures = kind.figures(values, of_kind, data.draw(FACTS))
    names = [figure.name for figure in figures]
    assert len(names) == len(set(names))
    for figure in figures:
        assert isinstance(figure, Figure)
        json.dumps(figure.as_json(), allow_nan=False)
        if isinstance(figure.value, float):
            assert figure.error is None or figure.error >= 0
            assert figure.low is None or figure.low <= figure.value <= figure.high
    assert kind.doubted(values, [step.name for step in kind.steps]) == []


@every_kind
def test_what_was_skipped_is_unknown_and_says_why(kind):
    figures = kind.figures({}, kind.defaults, Facts())
    assert all(figure.value is None for figure in figures)
    assert figures[0].remark


@every_kind
def test_a_kind_says_what_the_phone_needs(kind):
    told = json.loads(json.dumps(kind.as_json()))
    assert [step["name"] for step in told["steps"]] == [step.name for step in kind.steps]
    assert len(kind.key) <= 20
    assert kind.instructions
    names = {each.name for each in (*kind.steps, *kind.settings)}
    for step in (*kind.steps, *kind.settings):
        assert len(step.label) <= 50
        assert (step.ask == CHOICE) == bool(step.choices)
        assert (step.ask == ROWS) == bool(step.columns)
        assert step.when is None or step.when[0] in names
        if step.doubt_above is not None and step.most is not None:
            assert step.doubt_above < step.most
    assert set(kind.cautions) <= set(BY_KEY)


@every_kind
def test_its_own_settings_can_be_used(kind):
    assert kind.read_settings({}) == (kind.defaults, {})
    assert kind.read_settings(kind.defaults) == (kind.defaults, {})
