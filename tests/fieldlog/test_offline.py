"""What a phone keeps of the site so that the pages of the field open without signal."""

import gzip
import json
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles.finders import find
from django.urls import reverse

from fieldlog import offline
from tests.test_preloads import imported_by

LINKED = re.compile(r'<link rel="(?:stylesheet|icon)" href="/static/([^"]+)"')
SCRIPT = re.compile(r'<script type="module" src="/static/([^"]+)"')
LATER = re.compile(r'import\("\./([\w-]+\.js)"\)')
SHELLS = pytest.mark.parametrize("shell", offline.SHELLS, ids=lambda shell: shell.route)


def kept(client):
    """What the service worker says that it keeps: {"name", "pages", "files"}."""
    text = client.get("/sw.js").text
    return json.loads(re.search(r"= (\{.*\});$", text, re.MULTILINE)[1])


@SHELLS
def test_a_phone_keeps_every_module_that_a_page_needs(client, shell):
    [page] = SCRIPT.findall(client.get(reverse(shell.route)).text)
    at_once = {page} | imported_by(page)
    assert at_once == set(shell.modules)
    asked_for = [f"{Path(page).parent}/{name}" for name in LATER.findall(Path(find(page)).read_text("utf-8"))]
    later = set(asked_for).union(*(imported_by(name) for name in asked_for))
    assert later - at_once == set(shell.later)
    everything = [*shell.modules, *shell.later]
    assert len(everything) == len(set(everything))


@SHELLS
def test_a_phone_keeps_the_styles_of_a_page(client, shell):
    text = client.get(reverse(shell.route)).text
    assert set(LINKED.findall(text)) == {*shell.styles, *offline.OTHERS}


def test_the_worker_is_asked_for_anew_each_time_and_says_what_it_keeps(client):
    answer = client.get("/sw.js")
    assert (answer["Cache-Control"], answer["Content-Type"]) == ("no-cache", "text/javascript; charset=utf-8")
    said = kept(client)
    assert [page["shell"] for page in said["pages"]] == [reverse(shell.route) for shell in offline.SHELLS]
    needed = {
        f"/static/{name}"
        for shell in offline.SHELLS
        for name in (*shell.modules, *shell.later, *shell.styles)
    }
    assert set(said["files"]) == needed | {f"/static/{name}" for name in offline.OTHERS}
    assert len(said["files"]) == len(set(said["files"]))


def test_another_page_is_another_release(client, monkeypatch):
    before = kept(client)["name"]
    assert kept(client)["name"] == before
    monkeypatch.setattr(offline.Shell, "text", lambda shell: "another page")
    assert kept(client)["name"] != before


@SHELLS
def test_what_a_page_needs_is_small(client, shell):
    """60 KiB compressed to open it, which a phone at the edge of the signal still fetches; 100 with the rest. Ours."""
    page = len(gzip.compress(client.get(reverse(shell.route)).content))
    first = page + compressed_size((*shell.styles, *shell.modules, *offline.OTHERS))
    later = compressed_size(shell.later)
    print(f"{first / 1024:.1f} KiB, then {later / 1024:.1f} KiB")
    assert first <= 60 * 1024
    assert first + later <= 100 * 1024


def compressed_size(names):
    return sum(len(gzip.compress(Path(find(name)).read_bytes())) for name in names)
