"""Work as a calendar: iCalendar, RFC 5545, made by the package icalendar.

An item that has a day is an event of whole days, since calendars show events and few show to-dos. What has no day is in
no calendar. What was dropped of late stays as cancelled, so that calendars take it away. No cost is in it.
"""

import re
from datetime import timedelta

from django.db.models import Count, Q
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar, Event, vDuration

from fieldlog.models import WorkItem
from fieldlog.queries.work import mine_or_nobodys

PRODUCT = "-//Swardbook//Work//EN"
KEPT_DAYS = 60  # what was done or dropped stays for this long
MOST_EVENTS = 2000
REFRESH = timedelta(hours=1)
_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
_STATUS = {"open": "CONFIRMED", "done": "CONFIRMED", "dropped": "CANCELLED"}


def work_calendar(feed, address_of):
    """The text of the calendar.

    Parameters
    ----------
    feed : CalendarFeed
    address_of : callable
        A path to the whole address of it.

    Returns
    -------
    bytes
        The same for the same work.
    """
    property = feed.property
    calendar = Calendar()
    calendar.add("PRODID", PRODUCT)
    calendar.add("VERSION", "2.0")
    calendar.add("METHOD", "PUBLISH")
    name = _told(f"Work at {property.name}")
    calendar.add("NAME", name)
    calendar.add("X-WR-CALNAME", name)
    calendar.add("REFRESH-INTERVAL", vDuration(REFRESH), parameters={"VALUE": "DURATION"})
    for item in _dated(feed):
        calendar.add_component(_event(item, address_of(reverse("work-item", args=[property.slug, item.pk]))))
    return calendar.to_ical()


def _dated(feed):
    since = timezone.now() - timedelta(days=KEPT_DAYS)
    rows = WorkItem.objects.filter(property=feed.property)
    rows = rows.filter(Q(due_on__isnull=False) | Q(starts_on__isnull=False))
    rows = rows.filter(Q(state=WorkItem.State.OPEN) | Q(changed_at__gte=since))
    if feed.only_mine:
        rows = rows.filter(mine_or_nobodys(feed.user))
    rows = rows.select_related("plot", "assigned_to").annotate(report_count=Count("reports"))
    return rows.order_by("-due_on", "pk")[:MOST_EVENTS]


def _event(item, address):
    event = Event()
    event.add("UID", str(item.pk))
    event.add("DTSTAMP", item.changed_at)
    event.add("LAST-MODIFIED", item.changed_at)
    event.add("SEQUENCE", len(item.earlier) + item.report_count)
    first = item.starts_on or item.due_on
    event.add("DTSTART", first)
    event.add("DTEND", max(item.due_on or first, first) + timedelta(days=1))
    event.add("SUMMARY", _summary(item))
    event.add("STATUS", _STATUS[item.state])
    event.add("TRANSP", "TRANSPARENT")
    event.add("CATEGORIES", [item.get_kind_display()])
    event.add("URL", address)
    if item.plot:
        event.add("LOCATION", _told(item.plot.name))
    if item.lon is not None and item.lat is not None:
        event.add("GEO", (item.lat, item.lon))
    if words := _words(item):
        event.add("DESCRIPTION", words)
    return event


def _summary(item):
    return _told(f"Done: {item.title}" if item.state == WorkItem.State.DONE else item.title)


def _told(text):
    """Without control characters, which the format does not have; lines stay lines."""
    return _CONTROLS.sub(" ", text)


def _words(item):
    parts = [item.how, f"Take along: {item.tools}" if item.tools else ""]
    parts.append(f"For {item.assigned_to.shown_name}." if item.assigned_to else "")
    return _told("\n\n".join(part for part in parts if part))
