"""The folder broker: a message is whole as soon as it can be seen."""

import json
import uuid
from pathlib import Path

import pytest
from kombu import Connection

from config.running.folder import make_working_folders


@pytest.fixture
def folder(tmp_path):
    make_working_folders(tmp_path, tmp_path / "broker")
    return tmp_path / "broker"


@pytest.fixture
def queue(folder):
    options = {
        "data_folder_in": str(folder / "messages"),
        "data_folder_out": str(folder / "messages"),
        "control_folder": str(folder / "control"),
    }
    with Connection("filesystem://localhost", transport_options=options) as connection:
        yield connection.SimpleQueue(uuid.uuid4().hex)  # kombu remembers, per process, what it has bound


def test_a_message_arrives(queue):
    queue.put({"order": 7})
    assert queue.get(timeout=5).payload == {"order": 7}


def test_a_message_is_whole_before_it_has_its_name(queue, folder, monkeypatch):
    seen = []

    def replace(draft, name):
        seen.append((list(folder.glob("messages/[!.]*")), json.loads(Path(draft).read_text())["body"]))

    monkeypatch.setattr("os.replace", replace)
    queue.put({"order": 7})
    assert seen[0][0] == []
    assert seen[0][1]


def test_a_message_that_was_cut_short_is_cleared_away(folder):
    for name in ("1_a.celery.msg", ".2_b.celery.msg", "3_c.celery.msg"):
        (folder / "messages" / name).write_text("{}" if name != "1_a.celery.msg" else '{"bo')
    make_working_folders(folder.parent, folder)
    assert [path.name for path in folder.glob("messages/*")] == ["3_c.celery.msg"]


def test_who_takes_what_is_forgotten_at_the_start(folder):
    (folder / "control" / "celery.exchange").write_text("")  # cut short, it would stop every worker
    make_working_folders(folder.parent, folder)
    assert list(folder.glob("control/*")) == []
