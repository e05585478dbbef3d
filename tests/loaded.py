"""A demonstration that is loaded once for all tests of a module, each of which sees it as it was loaded."""

from contextlib import contextmanager

from django.db import transaction


@contextmanager
def loaded_once(blocker, load):
    """Load within a transaction that is taken back at the end; `blocker` is pytest-django's django_db_blocker."""
    with blocker.unblock(), transaction.atomic():
        load()
        yield
        transaction.set_rollback(True)
