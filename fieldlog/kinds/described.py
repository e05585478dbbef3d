"""What can be read on a plot, described once: the phone asks by it, the server checks and reckons by it.

A `Kind` has steps, one screen each, and settings that an owner may change. Its `figures` turn what was answered into
figures by the functions of fieldlog/calc. Nothing here knows the database.

A value is refused only where it cannot be (a count below 0, a share above 100 %). What can be but hardly is, is
questioned: the person says 'yes, really', and the name of the step stands in the reading's `sure_of`.
"""

from dataclasses import dataclass, field

from fieldlog.kinds.answers import NUMBER, NUMBERS, ROWS, TEXT, read_all


@dataclass(frozen=True)
class Choice:
    value: str
    label: str
    help: str = ""
    picture: str = ""  # name of a drawing in static/fieldlog/visit/drawings.js


@dataclass(frozen=True)
class Step:
    """One screen of a protocol, or one setting of it.

    Attributes
    ----------
    name : str
        With its unit: `surface_f`.
    label : str
        The question, as short as it can be.
    ask : str
        One of the words of answers.py, which says how the value of each stands in JSON.
    least, most : float
        What can be at all; for `points` `most` is the number of points a line.
    doubt_below, doubt_above : float
        Outside them the person is asked whether it is really so.
    doubt : str
        The question then, with {value}: "Soil at {value} °F?". Without it one is made of the label.
    columns : tuple of Step
        Of `rows`: number, choice, flag, text or species.
    default : object
        Of a setting; a step has none, since what was not answered is not known.
    when : tuple or None
        (name of an earlier step or a setting, values): asked only if that has one of them.
    picture : str
        Name of a drawing beside the question.
    """

    name: str
    label: str
    ask: str = NUMBER
    unit: str = ""
    least: float | None = None
    most: float | None = None
    is_whole: bool = False
    doubt_below: float | None = None
    doubt_above: float | None = None
    doubt: str = ""
    choices: tuple = ()
    columns: tuple = ()
    default: object = None
    when: tuple | None = None
    help: str = ""
    picture: str = ""
    longest: int = 300

    def is_asked(self, settings):
        """Whether these settings ask for it at all; True where it hangs on an answer."""
        return self.when is None or self.when[0] not in settings or settings[self.when[0]] in self.when[1]

    def doubts(self, value):
        """Whether a value that was accepted is to be questioned. Of a list or rows: whether any of it is."""
        if value is None:
            return False
        if self.ask == NUMBERS:
            return any(self._is_odd(each) for each in value)
        if self.ask == ROWS:
            return any(column.doubts(row.get(column.name)) for row in value for column in self.columns)
        return self.ask == NUMBER and self._is_odd(value)

    def _is_odd(self, number):
        if number is None:
            return False
        below = self.doubt_below is not None and number < self.doubt_below
        return below or (self.doubt_above is not None and number > self.doubt_above)

    def as_json(self):
        """What the phone asks by; what is as it goes without saying is left out."""
        said = {"name": self.name, "label": self.label, "ask": self.ask}
        plain = (
            "unit",
            "least",
            "most",
            "is_whole",
            "doubt_below",
            "doubt_above",
            "doubt",
            "default",
            "help",
        )
        plain += ("picture",)
        given = {name: getattr(self, name) for name in plain}
        said |= {
            name: value for name, value in given.items() if value not in (None, "") and value is not False
        }
        if self.ask == TEXT:
            said["longest"] = self.longest
        if self.choices:
            said["choices"] = [
                {key: text for key, text in vars(each).items() if text} for each in self.choices
            ]
        if self.columns:
            said["columns"] = [each.as_json() for each in self.columns]
        if self.when:
            said["when"] = [self.when[0], list(self.when[1])]
        return said


@dataclass(frozen=True)
class Figure:
    """One thing that a reading comes to.

    `value` None is not known, and `remark` says why. `error` is a standard error. Where a reading gives no more than a
    span, `low` and `high` are its ends and `value` is the middle of it. `expected_low` and `expected_high` are the ends of
    what was expected, either of them alone too.
    """

    name: str
    label: str
    value: float | str | None
    unit: str = ""
    decimals: int = 0
    error: float | None = None
    expected_low: float | None = None
    expected_high: float | None = None
    remark: str = ""
    rests_on: str = ""
    low: float | None = None
    high: float | None = None

    def as_json(self):
        return {name: value for name, value in vars(self).items() if value is not None and value != ""} | {
            "value": self.value
        }


@dataclass(frozen=True)
class Sown:
    """A component of what grows on the plot, as figures need it; None is unknown.

    `days_to_bloom` and `days_to_seed` are (low, high) from seeding, as the table of species has them.
    """

    species_id: int
    name: str
    live_seeds_per_ft2: float | None = None
    group: str = ""
    days_to_bloom: tuple | None = None
    days_to_seed: tuple | None = None


@dataclass(frozen=True)
class Facts:
    """What is known of a plot on the day of a reading. `age_days` counts from the day of planting."""

    sown: tuple = ()
    age_days: int | None = None
    row_spacing_in: float | None = None
    texture: str = ""
    is_drilled: bool | None = None
    acres: float | None = None


NOTHING_KNOWN = Facts()


def no_figures(values, settings, facts):
    return []


@dataclass(frozen=True)
class Kind:
    """A kind of reading.

    Attributes
    ----------
    key : str
        At most 20 characters.
    title, summary : str
    steps, settings : tuple of Step
    figures : callable
        (values, settings, facts) -> list of Figure. It is given only values that `read` accepted, and never fails:
        what cannot be reckoned is unknown, with a remark.
    pin : str
        "no", "may" or "ask": whether a place on the map belongs to it.
    is_many : bool
        Several of them on one visit, such as a patch of weeds each.
    is_always : bool
        Offered on every visit whatever the protocols say.
    tools : str
        What to take along.
    instructions : str
        How it is done, in our words.
    cautions : tuple of str
        Keys of fieldlog/safety.py.
    version : int
        Raised when `figures` changes; stored figures of an older one are made again.
    """

    key: str
    title: str
    summary: str
    steps: tuple
    figures: object = no_figures
    settings: tuple = ()
    pin: str = "no"
    is_many: bool = False
    is_always: bool = False
    tools: str = ""
    instructions: str = ""
    cautions: tuple = ()
    version: int = 1
    sources: tuple = field(default=())

    @property
    def defaults(self):
        """{setting: value} as the tool has it."""
        return {each.name: each.default for each in self.settings}

    def read(self, values):
        """Values as they are stored, and the sentences about those that cannot be.

        Parameters
        ----------
        values : dict
            As JSON brings them, by the names of the steps. Text that is a number is one.

        Returns
        -------
        dict, dict
            What can be kept, without what was skipped; and {name: sentence}.
        """
        return read_all(self.steps, values, self.title)

    def read_settings(self, values):
        """The same of settings; what is left out has the tool's own value."""
        kept, wrong = read_all(self.settings, values, self.title)
        return self.defaults | kept, wrong

    def doubted(self, values, sure_of=()):
        """Names of the steps whose values are questionable and to which nobody said 'yes, really'."""
        return [
            each.name
            for each in self.steps
            if each.name not in sure_of and each.doubts(values.get(each.name))
        ]

    def as_json(self):
        return {
            "key": self.key,
            "title": self.title,
            "summary": self.summary,
            "pin": self.pin,
            "is_many": self.is_many,
            "is_always": self.is_always,
            "tools": self.tools,
            "instructions": self.instructions,
            "steps": [each.as_json() for each in self.steps],
        }
