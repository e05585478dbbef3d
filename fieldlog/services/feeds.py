"""Secret addresses under which a calendar reads work. Only a hash is kept; whoever lost one makes another."""

from django.db import transaction
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.utils import timezone

from config.errors import Conflict
from fieldlog.models import CalendarFeed
from plots.models import Membership, new_secret, secret_digest

MOST_FEEDS = 10  # of one person on a property


@transaction.atomic
def make_feed(*, property, user, only_mine):
    """A calendar's address and its secret, which is told only now.

    Returns
    -------
    CalendarFeed, str

    Raises
    ------
    Conflict
        The person has as many as one may have.
    """
    if feeds_of(property, user).count() >= MOST_FEEDS:
        raise Conflict(
            f"You have {MOST_FEEDS} calendar addresses here, the most that one may have; end one first."
        )
    secret, digest = new_secret()
    feed = CalendarFeed.objects.create(property=property, user=user, token_sha256=digest, only_mine=only_mine)
    return feed, secret


def end_feed(*, property, user, feed_id):
    """End one of one's own: whoever has the address reads nothing any more."""
    feed = get_object_or_404(feeds_of(property, user), pk=feed_id)
    feed.revoked_at = timezone.now()
    feed.save(update_fields=["revoked_at"])
    return feed


def feeds_of(property, user):
    """Those that are open."""
    return CalendarFeed.objects.filter(property=property, user=user, revoked_at__isnull=True)


def feed_by(secret):
    """The feed that a secret opens, with what its person may see.

    Raises
    ------
    Http404
        It opens nothing: it is wrong, was ended, or its person no longer belongs to the property.
    """
    rows = CalendarFeed.objects.select_related("property", "user")
    feed = rows.filter(
        token_sha256=secret_digest(secret), revoked_at__isnull=True, user__is_active=True
    ).first()
    if feed is None or not Membership.objects.filter(property=feed.property, user=feed.user).exists():
        raise Http404
    today = timezone.localdate()
    if feed.last_read_on != today:
        CalendarFeed.objects.filter(pk=feed.pk).update(last_read_on=today)
    return feed
