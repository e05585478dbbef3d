"""Readings in words: what was answered, and what it comes to; and how far off a clock is."""

from dataclasses import dataclass
from datetime import timedelta

from django.utils import timezone
from django.utils.timesince import timesince

from config.templatetags.figures import figure_text
from fieldlog.kinds import KINDS
from fieldlog.kinds.answers import CHOICE, FLAG, NUMBER, NUMBERS, POINTS, ROWS, SPECIES
from fieldlog.services.clocks import BELIEVED_S

_NOT_KNOWN = "not known"


@dataclass(frozen=True)
class Told:
    """A line of a page: what, and what of it. Of rows `head` and `rows` have the table."""

    label: str
    text: str = ""
    head: tuple = ()
    rows: tuple = ()


def title_of(kind):
    """The name of a kind of reading; its key where this version of the tool has it no more."""
    return KINDS[kind].title if kind in KINDS else kind


def clock_words(ahead_s):
    """'3 hours ahead'; empty where it is right, as far as a message on its way lets one tell, or not known. [s]"""
    if ahead_s is None or abs(ahead_s) <= BELIEVED_S:
        return ""
    now = timezone.now()
    return f"{timesince(now - timedelta(seconds=abs(ahead_s)), now)} {'ahead' if ahead_s > 0 else 'behind'}"


def figure_told(figure):
    """A stored figure in words, such as '62 ± 8 %'; 'not known' where it is not."""
    value = figure.get("value")
    if value is None:
        return _NOT_KNOWN
    if not isinstance(value, int | float):
        return str(value)
    decimals, unit = figure.get("decimals", 0), figure.get("unit", "")
    if figure.get("low") is not None and figure.get("high") is not None:
        return f"{figure_text(figure['low'], decimals)} to {figure_text(figure['high'], decimals, unit)}"
    if figure.get("error") is None:
        return figure_text(value, decimals, unit)
    return f"{figure_text(value, decimals)} ± {figure_text(figure['error'], decimals, unit)}"


def expected_told(figure):
    """What was expected of it, such as 'at least 50 %'; empty where nothing was."""
    low, high = figure.get("expected_low"), figure.get("expected_high")
    decimals, unit = figure.get("decimals", 0), figure.get("unit", "")
    if low is not None and high is not None:
        return f"{figure_text(low, decimals)} to {figure_text(high, decimals, unit)}"
    if low is not None:
        return f"at least {figure_text(low, decimals, unit)}"
    return "" if high is None else f"at most {figure_text(high, decimals, unit)}"


def is_as_expected(figure):
    """Whether a figure lies where it was expected; None where nothing was, or it is not known."""
    value, low, high = (figure.get(name) for name in ("value", "expected_low", "expected_high"))
    if not isinstance(value, int | float) or (low is None and high is None):
        return None
    return (low is None or value >= low) and (high is None or value <= high)


def reading_told(reading, most=3):
    """The figures that are known in one line; else the answers, else that there is nothing."""
    known = [each for each in reading.figures if each.get("value") is not None]
    parts = [f"{each['label']}: {figure_told(each)}" for each in known[:most]]
    if not parts:
        parts = [
            f"{each.label}: {each.text or f'{len(each.rows)} rows'}" for each in answers_of(reading)[:most]
        ]
    return "; ".join(parts) or "nothing that can be reckoned"


def answers_of(reading):
    """What was answered, by the steps of its kind."""
    if reading.kind not in KINDS:
        return [Told(name, str(value)[:200]) for name, value in reading.values.items()]
    return _told_of(KINDS[reading.kind].steps, reading.values)


def settings_of(reading):
    """The settings of the protocol when the reading was taken."""
    return [] if reading.kind not in KINDS else _told_of(KINDS[reading.kind].settings, reading.settings)


def _told_of(steps, values):
    found = []
    for step in steps:
        value = values.get(step.name)
        if value is None:
            continue
        if step.ask == ROWS:
            columns = [each for each in step.columns if any(each.name in row for row in value)]
            rows = tuple(tuple(_words(each, row.get(each.name)) for each in columns) for row in value)
            found.append(Told(step.label, head=tuple(_headed(each) for each in columns), rows=rows))
        else:
            found.append(Told(step.label, _words(step, value)))
    return found


def _headed(step):
    return f"{step.label} ({step.unit})" if step.unit else step.label


def _words(step, value):
    if value is None:
        return ""
    unit = f" {step.unit}" if step.unit else ""
    if step.ask == NUMBER:
        return f"{value:,.10g}{unit}"
    if step.ask == NUMBERS:
        return ", ".join("left out" if each is None else f"{each:,.10g}" for each in value) + unit
    if step.ask == CHOICE:
        return next((each.label for each in step.choices if each.value == value), str(value))
    if step.ask == FLAG:
        return "yes" if value else "no"
    if step.ask == POINTS:
        return f"{sum(line.count('1') for line in value)} of {sum(map(len, value))} points hit"
    return value["name"] if step.ask == SPECIES else str(value)
