"""Installations that are cleared away after the test: on a folder and SQLite, or on the servers of the CI."""

import itertools
import os
import uuid

import psycopg
import pytest
import redis
from django.conf import settings
from psycopg import sql

from tests.running.installation import Installation

_redis_numbers = itertools.cycle(range(8))


@pytest.fixture(scope="module")
def install(tmp_path_factory):
    """install(**environment) -> a fresh Installation; its processes end with the module."""
    made, databases = [], []

    def install(**environment):
        if settings.DATABASES["default"]["ENGINE"].endswith("postgresql"):
            databases.append(_new_database())
            environment["DATABASE_URL"] = databases[-1]
        broker_url = os.environ.get("SWARDBOOK_BROKER_URL", "")
        if broker_url.startswith("redis"):
            environment["SWARDBOOK_BROKER_URL"] = _emptied_broker(broker_url)
        made.append(Installation(tmp_path_factory.mktemp("installation") / "data", **environment))
        return made[-1]

    yield install
    for installation in made:
        installation.close()
    for url in databases:
        name = sql.Identifier(url.rpartition("/")[2])
        with _server() as server:
            server.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(name))


def _emptied_broker(url):
    """One of Redis's sixteen databases; each process of pytest-xdist has eight for its installations."""
    number = 8 * int(os.environ.get("PYTEST_XDIST_WORKER", "gw0")[2:]) + next(_redis_numbers)
    own = f"{url.rpartition('/')[0]}/{number}"
    redis.Redis.from_url(own).flushdb()
    return own


def _server():
    given = settings.DATABASES["default"]
    return psycopg.connect(
        dbname="postgres",
        host=given["HOST"] or None,
        port=given["PORT"] or None,
        user=given["USER"] or None,
        password=given["PASSWORD"] or None,
        autocommit=True,
    )


def _new_database():
    name = f"swardbook_{uuid.uuid4().hex[:12]}"
    with _server() as server:
        server.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
    return f"{os.environ['DATABASE_URL'].rpartition('/')[0]}/{name}"
