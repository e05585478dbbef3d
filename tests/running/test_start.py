"""`manage.py start`, from an empty folder to Ctrl-C."""

import contextlib
import os
import re
import signal
import socket
import stat
import sys
from urllib.error import HTTPError

import psutil
import pytest
from django.core.management import call_command

import manage
from blends.services import demo
from tests.running.installation import Visitor, free_port, wait_for

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def shown(install):
    """The demonstration, running for the whole network."""
    installation = install()
    run = installation.start("--demo", "--host", "0.0.0.0")
    run.ready()
    run.folder = installation.folder
    return run


@pytest.fixture
def visitor(shown):
    return Visitor(shown.port)


def still_running(parts):
    """Of the processes those that have not ended; an ended one stays listed until init takes it away."""
    found = []
    for part in parts:
        with contextlib.suppress(psutil.NoSuchProcess):
            if part.status() != psutil.STATUS_ZOMBIE:
                found.append(part)
    return found


def test_the_page_answers_with_its_style_when_the_address_is_printed(visitor):
    page = visitor.get("/sign-in/")
    style = re.search(r'href="(/static/site/swardbook\.\w+\.css)"', page.text)[1]
    assert "--ink" in visitor.get(style).text


@pytest.mark.parametrize("person", demo.PEOPLE, ids=lambda person: person.username)
def test_the_demonstrations_people_sign_in_as_it_says(shown, visitor, person):
    assert shown.says(f"Sign in as {person.username} .*password: {demo.PASSWORD}")
    page = visitor.fill("/sign-in/", username=person.username, password=demo.PASSWORD)
    assert demo.NAME in page.text


def test_the_whole_network_is_warned_of(shown):
    shown.says("^Warning: this installation has the demonstration's people")
    assert shown.says("^Warning: other machines can reach this address.*not encrypted")


def test_only_this_machines_names_are_answered(visitor):
    assert "Sign in" in visitor.get("/sign-in/", Host=socket.gethostname()).text
    with pytest.raises(HTTPError, match="400"):
        visitor.get("/sign-in/", Host="elsewhere.example")


def test_the_data_folder_is_for_its_owner_alone(shown):
    folder = shown.folder
    for path in [folder, *folder.rglob("*")]:
        assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0, path


def test_a_second_start_on_the_same_folder_is_refused(shown, install):
    environment = {"SWARDBOOK_DATA": str(shown.folder)}
    said = refused(install().manage("start", "--port", free_port(), environment=environment))
    assert said == f"Swardbook is already running on {shown.folder}; stop that one first.\n"


def test_a_part_that_dies_is_started_again(shown):
    worker = shown.part("worker")
    worker.kill()
    wait_for(lambda: shown.part("worker") not in (None, worker), "Another worker")
    assert shown.says(r"The worker ended \(signal 9\); it is started again")


@pytest.fixture(scope="module")
def owned(install):
    """An installation whose first visitor has made the owner's account; the run has been killed since."""
    installation = install()
    run = installation.start()
    visitor = run.ready()
    link = run.says(r"http://\S+(/welcome/\S+)")[1]
    visitor.fill(
        link,
        full_name="Rue Example",
        username="rue",
        password="seven gates open",
        property_name="Tally Hollow",
    )
    installation.left = run.family()
    run.process.kill()
    installation.again = installation.start(port=run.port)
    installation.again.ready()
    return installation


def test_killed_and_started_again_it_has_lost_nothing(owned):
    page = owned.again.ready().fill("/sign-in/", username="rue", password="seven gates open")
    assert "Tally Hollow" in page.text
    assert not owned.again.has_said("/welcome/")


def test_what_a_killed_start_had_begun_is_gone(owned):
    assert len(owned.left) == 4  # the web server is two processes
    assert [process for process in owned.left if process.is_running()] == []


def test_ctrl_c_ends_everything(owned):
    parts = owned.again.family()
    assert owned.again.interrupt() == 0
    assert owned.again.lines[-1] == "Stopped."
    assert still_running(parts) == []


def refused(done):
    assert done.returncode == 1
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    return done.stderr


def test_a_busy_port_is_named(install):
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
        said = refused(install().manage("start", "--port", port))
    assert said.startswith(f"Port {port} is in use by another program; choose a free one")


@pytest.fixture
def refusal():
    """refusal(**options): the line with which `start`, called in this process, ends."""
    mask = os.umask(0)

    def refusal(**options):
        with pytest.raises(SystemExit) as ended:
            call_command("start", **({"port": free_port()} | options))
        return ended.value.code

    yield refusal
    os.umask(mask)


@pytest.mark.parametrize(
    ("option", "value", "sentence"),
    [
        ("port", "70000", "--port is '70000'; a number from 1 to 65535 is accepted."),
        ("port", "http", "--port is 'http'; a number from 1 to 65535 is accepted."),
        ("host", "nowhere.invalid", "--host is 'nowhere.invalid', which names no address of this machine."),
        ("host", "192.0.2.1", "--host is '192.0.2.1', which is no address of this machine."),
    ],
)
def test_an_address_that_cannot_be_used_is_named(refusal, option, value, sentence):
    assert refusal(**{option: value}) == sentence


def test_a_folder_that_cannot_be_made_is_named(refusal, settings, tmp_path):
    (tmp_path / "file").touch()
    settings.DATA_DIR = tmp_path / "file" / "data"
    assert f"{settings.DATA_DIR}, which cannot be written to (Not a directory)" in refusal()


def test_a_folder_with_other_things_is_left_alone(refusal, settings, tmp_path):
    settings.DATA_DIR = tmp_path / "letters"
    settings.DATA_DIR.mkdir(mode=0o755)
    (settings.DATA_DIR / "letter.txt").touch()
    assert "which holds other things" in refusal()
    assert stat.S_IMODE(settings.DATA_DIR.stat().st_mode) == 0o755


def test_a_setting_that_cannot_be_used_is_named(install):
    done = install().manage("start", environment={"SWARDBOOK_SWEEP_SECONDS": "often"})
    assert refused(done) == "SWARDBOOK_SWEEP_SECONDS is 'often'; a whole number is accepted.\n"


def test_a_database_that_does_not_answer_is_named(install):
    url = f"postgres://nobody@127.0.0.1:{free_port()}/none"
    done = install().manage("start", "--port", free_port(), environment={"DATABASE_URL": url})
    assert refused(done).startswith("The database cannot be used: ")


def test_an_old_python_is_named(monkeypatch):
    monkeypatch.setattr(sys, "version_info", (3, 10, 13))
    with pytest.raises(SystemExit, match=r"needs Python 3\.11 or newer; this is Python 3\.10"):
        manage.main()


@pytest.mark.parametrize("package", ["django", "granian", "shapely"])
def test_a_package_that_is_not_installed_is_named(install, package):
    code = (
        f"import sys; sys.modules[{package!r}] = None; sys.argv[1:] = ['start']; import manage; manage.main()"
    )
    process = install().begin("-c", code)
    said, _ = process.communicate(timeout=30)
    assert said.startswith(f"The package '{package}' is not installed here.")
    assert said.count("\n") == 1
    assert process.returncode == 1


def test_sigterm_ends_a_start_that_is_still_preparing(install):
    run = install().start()
    wait_for(run.family, "A part")
    parts = run.family()
    run.process.send_signal(signal.SIGTERM)
    assert run.process.wait(30) == 0
    assert still_running(parts) == []
