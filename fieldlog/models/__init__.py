"""What is recorded on the ground, with what, and what comes of it."""

from fieldlog.models.phones import CheckIn, Phone
from fieldlog.models.protocols import Protocol, Rule
from fieldlog.models.visits import Photo, PhotoPoint, Reading, Visit
from fieldlog.models.work import CalendarFeed, Proposal, WorkItem, WorkReport

__all__ = [
    "CalendarFeed",
    "CheckIn",
    "Phone",
    "Photo",
    "PhotoPoint",
    "Proposal",
    "Protocol",
    "Reading",
    "Rule",
    "Visit",
    "WorkItem",
    "WorkReport",
]
