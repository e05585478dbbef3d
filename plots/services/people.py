"""The first owner's account, and tokens for the API."""

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.shortcuts import get_object_or_404
from django.utils import timezone

from config.errors import Refused
from plots.models import ApiToken, FirstOwnerLink, User, new_secret, secret_digest
from plots.services.properties import create_property
from plots.services.rows import save_clean

# One wording for a wrong, an old and a used link, so that nothing is learnt by trying.
NO_SUCH_LINK = "This link does not open anything: it is wrong, has been replaced by a newer one, or was used."


@transaction.atomic
def first_owner_link():
    """The secret of a fresh one-time link, which ends older ones; None once anybody has an account."""
    if User.objects.exists():
        return None
    FirstOwnerLink.objects.filter(used_at__isnull=True).delete()
    secret, digest = new_secret()
    FirstOwnerLink.objects.create(token_sha256=digest)
    return secret


def is_open_link(secret):
    """Whether the link could still make the first account."""
    return not User.objects.exists() and _open_links().filter(token_sha256=secret_digest(secret)).exists()


@transaction.atomic
def claim_first_owner(*, secret, username, password, full_name, property_name):
    """Make the owner's account and property by the one-time link. Of two at once, one wins.

    Raises
    ------
    Refused
        The link opens nothing, or a value is not accepted (`fields` says which).
    """
    # Locking every open link makes a second claim wait here until the first is through.
    digests = {link.token_sha256 for link in _open_links().select_for_update().order_by("pk")}
    if secret_digest(secret) not in digests or User.objects.exists():
        raise Refused(NO_SUCH_LINK)
    first_name, _, last_name = full_name.strip().partition(" ")
    user = User(username=username, first_name=first_name, last_name=last_name.strip())
    _check_password(password, user)
    user.set_password(password)
    save_clean(user)
    create_property(user=user, name=property_name)
    _open_links().update(used_at=timezone.now())
    return user


@transaction.atomic
def make_api_token(*, user, name):
    """A token for the API and its secret, which is told only now."""
    secret, digest = new_secret()
    return save_clean(ApiToken(user=user, name=name, token_sha256=digest)), secret


def end_api_token(*, user, token_id):
    """End one of the person's own tokens; Http404 for any other."""
    get_object_or_404(ApiToken, user=user, pk=token_id).delete()


def _open_links():
    return FirstOwnerLink.objects.filter(used_at__isnull=True)


def _check_password(password, user):
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise Refused(" ".join(error.messages), fields={"password": error.messages}) from error
