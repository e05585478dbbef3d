"""Several people at once, on a database that really locks."""

import threading

import pytest
from django.db import connections


@pytest.fixture
def on_disk(transactional_db, tmp_path):
    """A database of its own: in-memory SQLite shares its cache between threads and fails where a file waits."""
    memory = connections["default"]
    if memory.vendor != "sqlite":
        yield
        return
    file, name = str(tmp_path / "race.sqlite3"), connections.settings["default"]["NAME"]
    with memory.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [file])
    connections.settings["default"]["NAME"] = file
    del connections["default"]
    connections["default"].ensure_connection()  # alone, since no two can turn a new file to WAL at once
    yield
    connections["default"].close()
    connections.settings["default"]["NAME"] = name
    connections["default"] = memory


@pytest.fixture
def at_once(on_disk):
    """at_once(call, call, …) runs the calls in threads that start together; gives results and exceptions."""

    def run(*calls):
        start, outcomes = threading.Barrier(len(calls)), [None] * len(calls)

        def one(place, call):
            start.wait()
            try:
                outcomes[place] = call()
            except Exception as error:
                outcomes[place] = error
            finally:
                connections.close_all()

        threads = [threading.Thread(target=one, args=each) for each in enumerate(calls)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        return outcomes

    return run
