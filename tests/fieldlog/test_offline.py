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
SHELLS = pytest.mark.parametrize("shell", offline.SHELLS, ids=lambda shell: shell.route)


def kept(client):
    """What the service worker says that it keeps: {"name", "pages", "files"}."""
    text = client.get("/sw.js").text
    return json.loads(re.search(r"= (\{.*\});$", text, re.MULTILINE)[1])


@SHELLS
def test_a_phone_keeps_every_module_that_a_page_needs(client, shell):
    [page] = SCRIPT.findall(client.get(reverse(shell.route)).text)
    assert {page} | imported_by(page) == set(shell.modules)
    assert len(shell.modules) == len(set(shell.modules))


@SHELLS
def test_a_phone_keeps_the_styles_of_a_page(client, shell):
    text = client.get(reverse(shell.route)).text
    assert set(LINKED.findall(text)) == {*shell.styles, *offline.OTHERS}


def test_the_worker_is_asked_for_anew_each_time_and_says_what_it_keeps(client):
    answer = client.get("/sw.js")
    assert (answer["Cache-Control"], answer["Content-Type"]) == ("no-cache", "text/javascript; charset=utf-8")
    said = kept(client)
    assert [page["shell"] for page in said["pages"]] == [reverse(shell.route) for shell in offline.SHELLS]
    needed = {f"/static/{name}" for shell in offline.SHELLS for name in (*shell.modules, *shell.styles)}
    assert set(said["files"]) == needed | {f"/static/{name}" for name in offline.OTHERS}
    assert len(said["files"]) == len(set(said["files"]))


def test_another_page_is_another_release(client, monkeypatch):
    before = kept(client)["name"]
    assert kept(client)["name"] == before
    monkeypatch.setattr(offline.Shell, "text", lambda shell: "another page")
    assert kept(client)["name"] != before


def test_all_that_a_phone_keeps_is_small(client):
    """60 KiB compressed, which a phone at the edge of the signal still fetches. Ours."""
    pages = [client.get(reverse(shell.route)).content for shell in offline.SHELLS]
    files = [Path(find(name)).read_bytes() for name in offline.kept_files()]
    compressed = [len(gzip.compress(each)) for each in (*pages, *files)]
    print(f"{sum(compressed) / 1024:.1f} KiB in {len(compressed)} files")
    assert sum(compressed) <= 60 * 1024
