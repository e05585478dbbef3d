"""A phone's clock against this server's: how far off it is, seen when it sends, and what its moments were then."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.utils import timezone

from config.errors import refuse

BELIEVED_S = 120  # ours: what a message may take on its way, and clocks that nobody would call wrong
EARLIEST = datetime(1950, 1, 1, tzinfo=UTC)
DAY_AHEAD = timedelta(days=1)  # phones on the road are hours off, not days
_MOST_AHEAD_S = 2**31 - 1  # what the column holds: 68 years, so a clock that fell back to 1970 is still told


@dataclass(frozen=True)
class Clock:
    """Of one sending. `ahead_s` is how far it was ahead of this server's; None where nobody said. [s]"""

    sent_at: datetime | None = None
    ahead_s: int | None = None

    @property
    def is_off(self):
        return self.ahead_s is not None and abs(self.ahead_s) > BELIEVED_S

    def right(self, moment):
        """The moment by this server's clock, to the second.

        Raises
        ------
        Refused
            One that no calendar reaches.
        """
        try:
            moment = moment.astimezone(UTC).replace(microsecond=0)
            return moment - timedelta(seconds=self.ahead_s) if self.is_off else moment
        except (OverflowError, ValueError):
            refuse(
                "sent_at", f"The moment {moment:%Y-%m-%d} cannot be put right by {self.ahead_s:,} seconds."
            )


def clock_of(sent_at):
    """The clock of who sends, by the moment that it showed when sending; None where that is not said.

    Raises
    ------
    Refused
        More than 68 years off.
    """
    if sent_at is None:
        return Clock()
    ahead_s = round((sent_at - timezone.now()).total_seconds())
    if abs(ahead_s) > _MOST_AHEAD_S:
        refuse(
            "sent_at",
            f"It was sent at {sent_at:%Y-%m-%d} by the phone's clock; a clock within 68 years of this server's is "
            "accepted.",
        )
    return Clock(sent_at, ahead_s)


def check_moment(moment, field, what):
    """Refuse a moment at which nothing can have been recorded.

    Parameters
    ----------
    moment : datetime
        Put right.
    field, what : str
        Where it stands, and what was then, such as 'The visit was'.

    Raises
    ------
    Refused
    """
    if not EARLIEST <= moment <= timezone.now() + DAY_AHEAD:
        refuse(
            field,
            f"{what} on {moment:%Y-%m-%d %H:%M}; from {EARLIEST:%Y} to a day ahead of this server's clock is accepted.",
        )
