"""What the cells of a price list say: amounts of money, percentages, packs, days. Every reader takes the text of one
cell and gives a value, None for a cell that says nothing, or a ValueError whose words name the text and what is accepted.
"""

import re
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from plots.calc.units import KG_PER_LB, OZ_PER_LB

EARLIEST, LATEST = date(2000, 1, 1), date(2100, 12, 31)
"""Days outside are slips: an empty date of a spreadsheet reads as 1900."""

_NOTHING = {"", "-", "–", "—", "n/a", "na", "n.a."}
_SPACES = re.compile(r"[\s\u00a0\u202f]+")
_GROUP_SPACE = re.compile(r"(?<=[0-9])[ '’](?=[0-9]{3}(?![0-9]))")
_WHOLE = re.compile(r"[0-9]+")
_POINT = re.compile(r"(?:[0-9]+|[0-9]{1,3}(?:,[0-9]{3})+)?\.[0-9]+")
_COMMA = re.compile(r"(?:[0-9]+|[0-9]{1,3}(?:\.[0-9]{3})+)?,[0-9]+")
_GROUPS = re.compile(r"[1-9][0-9]{0,2}([,.])[0-9]{3}(?:\1[0-9]{3})*")
_PACK = re.compile(
    r"(?P<number>[0-9][0-9.,' ’]*|\.[0-9]+)[ -]?(?P<unit>[a-z#]*\.?)(?: ?(?:bag|bags|sack|sacks|pack|packs|tote|box))?"
)
_TO_LB = {
    **dict.fromkeys(("", "lb", "lb.", "lbs", "lbs.", "#", "pound", "pounds"), Decimal(1)),
    **dict.fromkeys(("kg", "kg.", "kgs", "kilo", "kilos"), 1 / Decimal(repr(KG_PER_LB))),
    **dict.fromkeys(("oz", "oz.", "ounce", "ounces"), 1 / Decimal(OZ_PER_LB)),
}
_THOUSANDTH = Decimal("0.001")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def plain(text):
    """The text of a cell with its spaces made one."""
    return _SPACES.sub(" ", text).strip()


def says_nothing(text):
    return plain(text).lower() in _NOTHING


def is_decimal_comma(text):
    """Whether the number can only have a decimal comma (22,50 or 1.234,50); False only a point; None either or none.

    Examples
    --------
    >>> is_decimal_comma("22,50"), is_decimal_comma("$1,234.50"), is_decimal_comma("1,234"), is_decimal_comma("22")
    (True, False, None, None)
    """
    bare = _bare(text)
    if _GROUPS.fullmatch(bare) and len(bare.replace(",", ".").split(".")) == 2:
        return None
    if _COMMA.fullmatch(bare) or (_GROUPS.fullmatch(bare) and "." in bare):
        return True
    if _POINT.fullmatch(bare) or (_GROUPS.fullmatch(bare) and "," in bare):
        return False
    return None


def read_number(text, has_decimal_commas=False):
    """A number of 0 or more.

    Parameters
    ----------
    text : str
        With a $ before, thousands grouped by commas, spaces or points.
    has_decimal_commas : bool
        The list has numbers that can only have a decimal comma: then 1,234 and 1.234 may mean two things.

    Returns
    -------
    Decimal or None

    Examples
    --------
    >>> [str(read_number(text)) for text in ("$1,234.50", "1 234,50", "1.234,50", "1,234", ".5", "1.234")]
    ['1234.50', '1234.50', '1234.50', '1234', '0.5', '1.234']
    >>> read_number("n/a") is None
    True
    >>> read_number("1/2")
    Traceback (most recent call last):
    ValueError: “1/2” is not accepted; a number such as 1234.50 is
    """
    if says_nothing(text):
        return None
    bare = _bare(text)
    refusal = f"“{plain(text)}” is not accepted; "
    if re.fullmatch(r"-.*|\(.*\)", bare):
        raise ValueError(f"{refusal}a number of 0 or more is")
    if (
        has_decimal_commas
        and is_decimal_comma(text) is None
        and not _WHOLE.fullmatch(bare)
        and _GROUPS.fullmatch(bare)
    ):
        raise ValueError(
            f"{refusal}it may mean two things beside the list's decimal commas: write it without thousands"
        )
    if _GROUPS.fullmatch(bare) and (bare.count(",") or bare.count(".") > 1):
        return Decimal(bare.replace(",", "").replace(".", ""))
    if _POINT.fullmatch(bare):
        return Decimal(bare.replace(",", ""))
    if _COMMA.fullmatch(bare):
        return Decimal(bare.replace(".", "").replace(",", "."))
    if _WHOLE.fullmatch(bare):
        return Decimal(bare)
    raise ValueError(f"{refusal}a number such as 1234.50 is")


def read_usd(text, has_decimal_commas=False):
    """A price in dollars; another currency is refused.

    Examples
    --------
    >>> read_usd("22.50 USD")
    Decimal('22.50')
    >>> read_usd("22,50 €")
    Traceback (most recent call last):
    ValueError: “22,50 €” is not accepted; prices are in US dollars
    """
    words = plain(text)
    if re.search(r"[€£¥]|\b(EUR|GBP|CAD|AUD|MXN)\b", words, re.IGNORECASE):
        raise ValueError(f"“{words}” is not accepted; prices are in US dollars")
    return read_number(re.sub(r"(?i)^(US)?\$|\$$|\bUSD?\b", "", words), has_decimal_commas)


def read_percent(text, has_decimal_commas=False, is_mostly=False):
    """A percentage with or without its sign.

    Parameters
    ----------
    is_mostly : bool
        Of something that makes up most of the seed: 1 or less without a sign is taken for a slip, since 0.98 may
        mean 98 %.

    Examples
    --------
    >>> read_percent("98.5 %"), read_percent("0.05")
    (Decimal('98.5'), Decimal('0.05'))
    >>> read_percent("0.98", is_mostly=True)
    Traceback (most recent call last):
    ValueError: “0.98” may mean 98 % or 0.98 %; write it with its sign
    """
    words = plain(text)
    value = read_number(words.removesuffix("%"), has_decimal_commas)
    if value is None:
        return None
    if value > 100:
        raise ValueError(f"“{words}” is not accepted; 0 to 100 % is")
    if is_mostly and value <= 1 and not words.endswith("%") and value:
        raise ValueError(
            f"“{words}” may mean {_short(value * 100)} % or {_short(value)} %; write it with its sign"
        )
    return value


def read_pack_lb(text, has_decimal_commas=False):
    """A pack in bulk pounds, to a thousandth; kilograms and ounces are converted.

    References
    ----------
    1 lb = 0.45359237 kg, by definition since 1959; 16 oz = 1 lb.

    Examples
    --------
    >>> [str(read_pack_lb(text)) for text in ("50 lb", "50# bag", "50-lb bag", "25 kg", "8 oz", "50")]
    ['50.000', '50.000', '50.000', '55.116', '0.500', '50.000']
    >>> read_pack_lb("1 bushel")
    Traceback (most recent call last):
    ValueError: “1 bushel” is not accepted; a weight such as 50 lb or 25 kg is
    """
    if says_nothing(text):
        return None
    words = plain(text)
    refusal = f"“{words}” is not accepted; a weight such as 50 lb or 25 kg is"
    found = _PACK.fullmatch(words.lower())
    if found is None or found["unit"] not in _TO_LB:
        raise ValueError(refusal)
    try:
        number = read_number(found["number"], has_decimal_commas)
    except ValueError as error:
        raise ValueError(refusal) from error
    pack_lb = (number * _TO_LB[found["unit"]]).quantize(_THOUSANDTH, ROUND_HALF_UP)
    if pack_lb <= 0:
        raise ValueError(f"“{words}” is not accepted; a pack of more than 0 lb is")
    return pack_lb


def read_count(text):
    """A whole number of packs, 1 or more.

    Examples
    --------
    >>> read_count("1,200")
    1200
    """
    value = read_number(text)
    if value is None:
        return None
    if value != int(value) or not 1 <= value <= 100_000:
        raise ValueError(f"“{plain(text)}” is not accepted; a whole number from 1 to 100,000 is")
    return int(value)


def read_day(text):
    """A day as year-month-day or month/day/year.

    Examples
    --------
    >>> read_day("2026-11-03"), read_day("11/3/2026"), read_day("11/3/26")
    (datetime.date(2026, 11, 3), datetime.date(2026, 11, 3), datetime.date(2026, 11, 3))
    >>> read_day("13/11/2026")
    Traceback (most recent call last):
    ValueError: “13/11/2026” is not accepted; a day such as 2026-11-30 or 11/30/2026 (month first) is
    """
    if says_nothing(text):
        return None
    words = plain(text)
    refusal = f"“{words}” is not accepted; a day such as 2026-11-30 or 11/30/2026 (month first) is"
    iso = re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ]00:00(?::00)?)?", words, re.ASCII)
    us = re.fullmatch(r"(\d{1,2})/(\d{1,2})/(\d{4}|\d{2})", words, re.ASCII)
    if iso:
        year, month, day = map(int, iso.groups())
    elif us:
        month, day, year = map(int, us.groups())
        year += 2000 if year < 100 else 0
    else:
        raise ValueError(refusal)
    return _day(year, month, day, refusal, words)


def read_month(text):
    """A month, as its first day: 2026-09, 9/2026, Sep 2026, or a day in it.

    Examples
    --------
    >>> [str(read_month(text)) for text in ("2026-09", "9/2026", "Sept. 2026", "9/14/2026")]
    ['2026-09-01', '2026-09-01', '2026-09-01', '2026-09-01']
    """
    if says_nothing(text):
        return None
    words = plain(text)
    refusal = f"“{words}” is not accepted; a month such as 2026-09 or 9/2026 is"
    iso = re.fullmatch(r"(\d{4})-(\d{1,2})", words, re.ASCII)
    us = re.fullmatch(r"(\d{1,2})/(\d{4})", words, re.ASCII)
    named = re.fullmatch(r"([A-Za-z]{3,9})\.?,? (\d{4})", words, re.ASCII)
    if iso:
        return _day(int(iso[1]), int(iso[2]), 1, refusal, words)
    if us:
        return _day(int(us[2]), int(us[1]), 1, refusal, words)
    if named and named[1][:3].lower() in _MONTHS:
        return _day(int(named[2]), _MONTHS.index(named[1][:3].lower()) + 1, 1, refusal, words)
    try:
        return read_day(words).replace(day=1)
    except ValueError as error:
        raise ValueError(refusal) from error


def read_text(text, most):
    """Words of at most so many characters; None where there are none."""
    words = plain(text)
    if len(words) > most:
        raise ValueError(f"“{words[:30]}…” has {len(words)} characters; at most {most} are accepted")
    return words or None


def _day(year, month, day, refusal, words):
    try:
        found = date(year, month, day)
    except ValueError as error:
        raise ValueError(refusal) from error
    if not EARLIEST <= found <= LATEST:
        raise ValueError(f"“{words}” is not accepted; a day from {EARLIEST.year} to {LATEST.year} is")
    return found


def _bare(text):
    """The digits of a number with its marks; spaces that group thousands are gone."""
    return _GROUP_SPACE.sub("", plain(text).removeprefix("$").strip())


def _short(value):
    return f"{value.normalize():f}"
