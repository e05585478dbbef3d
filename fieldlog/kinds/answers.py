"""Answers as JSON brings them: each way of asking, and what can be an answer to it."""

NUMBER, NUMBERS, CHOICE, FLAG, TEXT, POINTS, ROWS, SPECIES = (
    *("number", "numbers", "choice", "flag", "text", "points", "rows", "species"),
)
"""How a step is asked, and what its value is in JSON:

number   a number
numbers  several counts or weights: [number, …]
choice   the value of one of `choices`
flag     true or false
text     text of at most `longest` characters
points   lines of taps: ["1101…", …], a 1 for each point that hit, at most `most` points a line
rows     several answers of the same columns: [{column's name: value}, …]
species  {"id": number or null, "name": text}: one of the plot's blend, or any by name

What was skipped is absent or null, and unknown.
"""

MOST_ROWS = 60
_LARGEST_ID = 2**63 - 1
_LARGEST = 1e12  # beyond it nothing is measured, and whole numbers leave a float


def read_all(steps, values, title):
    """As `Kind.read` of described.py, for any steps."""
    kept, wrong = {}, {}
    if not isinstance(values, dict):
        return {}, {
            "values": f"{title}: what was answered is {str(values)[:40]!r}; an object by step is accepted"
        }
    by_name = {each.name: each for each in steps}
    for name, raw in values.items():
        step = by_name.get(name)
        if step is None:
            accepted = ", ".join(by_name) or "nothing"
            wrong[str(name)[:60]] = f"{title} does not ask for {str(name)[:60]!r}; accepted are {accepted}"
        elif not _is_nothing(raw):
            try:
                value = _READERS[step.ask](step, raw)
            except ValueError as error:
                wrong[name] = str(error)
            else:
                kept |= {} if _is_nothing(value) else {name: value}
    return kept, wrong


def _is_text(raw):
    """Text that both databases can keep: no NUL, no half of a surrogate pair."""
    return isinstance(raw, str) and not any(each == "\x00" or "\ud800" <= each <= "\udfff" for each in raw)


def _is_nothing(raw):
    return raw is None or raw == "" or raw == []


def _number(step, raw):
    value = raw
    if isinstance(raw, str):
        try:
            value = float(raw.replace(",", ".") if raw.count(",") == 1 and "." not in raw else raw)
        except ValueError:
            value = None
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= _LARGEST:
        raise ValueError(f"{step.label} is {str(raw)[:40]!r}; {_accepted(step)} is accepted")
    low = step.least is not None and value < step.least
    high = step.most is not None and value > step.most
    if low or high or (step.is_whole and value != int(value)):
        raise ValueError(f"{step.label} is {value:g}{_unit(step)}; {_accepted(step)} is accepted")
    return int(value) if step.is_whole else value


def _numbers(step, raw):
    if not isinstance(raw, list) or len(raw) > MOST_ROWS:
        raise ValueError(
            f"{step.label} is {str(raw)[:40]!r}; a list of at most {MOST_ROWS} numbers is accepted"
        )
    return [None if _is_nothing(each) else _number(step, each) for each in raw]


def _choice(step, raw):
    accepted = [each.value for each in step.choices]
    if raw not in accepted:
        raise ValueError(f"{step.label} is {str(raw)[:40]!r}; accepted are {', '.join(accepted)}")
    return raw


def _flag(step, raw):
    if not isinstance(raw, bool):
        raise ValueError(f"{step.label} is {str(raw)[:40]!r}; true or false is accepted")
    return raw


def _text(step, raw):
    if not _is_text(raw) or len(raw) > step.longest:
        raise ValueError(
            f"{step.label} is {str(raw)[:40]!r}; text of at most {step.longest} characters is accepted"
        )
    return raw.strip()


def _points(step, raw):
    most = int(step.most or 100)
    is_lines = isinstance(raw, list) and len(raw) <= MOST_ROWS
    if not is_lines or not all(isinstance(line, str) and set(line) <= {"0", "1"} for line in raw):
        raise ValueError(f"{step.label} is {str(raw)[:40]!r}; lines of 0 and 1 are accepted, such as 1101")
    if long := next((line for line in raw if len(line) > most), None):
        raise ValueError(f"{step.label} has a line of {len(long)} points; at most {most} are accepted")
    return [line for line in raw if line]


def _rows(step, raw):
    if not isinstance(raw, list) or len(raw) > MOST_ROWS:
        raise ValueError(f"{step.label} is {str(raw)[:40]!r}; a list of at most {MOST_ROWS} rows is accepted")
    rows = []
    for number, each in enumerate(raw, start=1):
        kept, wrong = read_all(step.columns, each, f"{step.label}, row {number}")
        if wrong:
            raise ValueError(f"{step.label}, row {number}: {next(iter(wrong.values()))}")
        if kept:
            rows.append(kept)
    return rows


def _species(step, raw):
    is_one = isinstance(raw, dict) and set(raw) <= {"id", "name"} and _is_text(raw.get("name"))
    species_id = raw.get("id") if is_one else None
    is_known = species_id is None or (
        isinstance(species_id, int) and not isinstance(species_id, bool) and 0 < species_id <= _LARGEST_ID
    )
    if not is_one or not is_known or not 0 < len(raw["name"].strip()) <= 80:
        raise ValueError(f"{step.label} is {str(raw)[:40]!r}; a species with its name is accepted")
    return {"id": species_id, "name": raw["name"].strip()}


_READERS = {
    NUMBER: _number,
    NUMBERS: _numbers,
    CHOICE: _choice,
    FLAG: _flag,
    TEXT: _text,
    POINTS: _points,
    ROWS: _rows,
    SPECIES: _species,
}


def _unit(step):
    return f" {step.unit}" if step.unit else ""


def _accepted(step):
    what = "a whole number" if step.is_whole else "a number"
    if step.least is not None and step.most is not None:
        return f"{what} from {step.least:g} to {step.most:g}{_unit(step)}"
    if step.least is not None:
        return f"{what} of at least {step.least:g}{_unit(step)}"
    if step.most is not None:
        return f"{what} of at most {step.most:g}{_unit(step)}"
    return what
