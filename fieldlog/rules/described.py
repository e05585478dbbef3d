"""Rules that make proposals of readings, described once: what they look at, from where on they speak, what that rests on.

Nothing here knows the database. A rule is handed readings that count, and answers with what it proposes, or None. It
never does anything itself: a person accepts or dismisses.
"""

from dataclasses import dataclass, field
from datetime import date

from fieldlog.kinds.answers import NUMBER, read_all
from fieldlog.kinds.described import Step

A_READING, A_STAND = "reading", "stand"
"""What a rule looks at: each reading by itself, or all of its kinds taken in one stand, the latest last."""


@dataclass(frozen=True)
class Seen:
    """A reading as rules see it. `age_days` counts from the day of planting; None is unknown.

    `figures` are by name, as `Reading.figures` has them.
    """

    id: object
    kind: str
    on: date
    values: dict = field(default_factory=dict)
    figures: dict = field(default_factory=dict)
    age_days: int | None = None

    def figure(self, name):
        """The value of a figure that is a number, or None where it is not known."""
        value = self.figures.get(name, {}).get("value")
        return value if isinstance(value, int | float) else None

    def told(self, name, threshold):
        """'42 ± 5': a figure as it is said, with as many decimals as part it from the threshold."""
        said = self.figures[name]
        value, error = said["value"], said.get("error")
        decimals = next((each for each in range(3) if round(value, each) != threshold), 2)
        return f"{value:,.{decimals}f}" + (f" ± {error:,.{decimals}f}" if error else "")


@dataclass(frozen=True)
class Proposed:
    """What a rule proposes.

    Attributes
    ----------
    reading_id : object
        Of the reading on which it rests.
    sentence : str
        At most 500 characters.
    work_kind : str
        Of WorkItem.Kind; blank for a thought for the next blend.
    due_on : date or None
        None where no day follows from the reading.
    """

    reading_id: object
    sentence: str
    work_kind: str = ""
    due_on: date | None = None


@dataclass(frozen=True)
class Rule:
    """A rule.

    Attributes
    ----------
    key : str
    title, summary : str
    looks_at : str
        A_READING or A_STAND.
    kinds : tuple of str
        Of readings, by their keys.
    thresholds : tuple of Step
        Numbers with their defaults, which an owner may change.
    speaks : callable
        (list of Seen, thresholds) -> Proposed or None.
    how : dict
        {kind of work: how it is done}, for the item that comes of it.
    tools : dict
        {kind of work: what to take along}.
    sources : tuple of Source
    """

    key: str
    title: str
    summary: str
    looks_at: str
    kinds: tuple
    thresholds: tuple
    speaks: object
    how: dict = field(default_factory=dict)
    tools: dict = field(default_factory=dict)
    sources: tuple = ()

    @property
    def defaults(self):
        return {each.name: each.default for each in self.thresholds}

    @property
    def rests_on(self):
        """Its sources in one line, without their addresses and notes."""
        return "; ".join(
            ", ".join(part for part in (each.title, each.publisher, each.year) if part)
            for each in self.sources
        )

    def read(self, thresholds):
        """Thresholds as they are stored, and {name: sentence} of those that cannot be.

        Parameters
        ----------
        thresholds : dict
            By name; what is left out or empty has the rule's own value.
        """
        kept, wrong = read_all(self.thresholds, thresholds, self.title)
        return self.defaults | kept, wrong


def threshold(name, label, default, unit, least, most, **how):
    return Step(name, label, ask=NUMBER, unit=unit, least=least, most=most, default=default, **how)


def day_words(day):
    """'May 4'."""
    return f"{day:%b} {day.day}"
