"""Installations that are cleared away after the test: on a folder and SQLite, or on the servers of the CI."""

import os
import uuid

import psycopg
import pytest
import redis
from django.conf import settings
from psycopg import sql

from tests.running.installation import Installation


@pytest.fixture(scope="session")
def broker_url():
    """The broker of the tests: a Redis database of this process's own, or None for the folder."""
    url = os.environ.get("SWARDBOOK_BROKER_URL", "")
    if not url.startswith("redis"):
        return None
    number = 8 + int(os.environ.get("PYTEST_XDIST_WORKER", "gw0")[2:])
    return f"{url.rpartition('/')[0]}/{number}"


@pytest.fixture(scope="module")
def install(tmp_path_factory, broker_url):
    """install(**environment) -> a fresh Installation; its processes end with the module."""
    made, databases = [], []

    def install(**environment):
        if settings.DATABASES["default"]["ENGINE"].endswith("postgresql"):
            databases.append(_new_database())
            environment["DATABASE_URL"] = databases[-1]
        if broker_url:
            redis.Redis.from_url(broker_url).flushdb()
            environment["SWARDBOOK_BROKER_URL"] = broker_url
        made.append(Installation(tmp_path_factory.mktemp("installation") / "data", **environment))
        return made[-1]

    yield install
    for installation in made:
        installation.close()
    for url in databases:
        with _server() as server:
            server.execute(
                sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(url.rpartition("/")[2]))
            )


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
