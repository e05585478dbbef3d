"""Imports run one way, and calculations know neither Django nor the database."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
APPS = ["plots", "blends", "fieldlog"]  # each may use those before it
# Where the whole site is put together: addresses, settings, and the commands that start it.
JOINTS = ("config/urls.py", "config/settings.py", "config/management/", "config/running/")


def modules(*folders):
    return sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))


def imported(path):
    """The dotted names that a module imports, those inside functions too."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path} imports by a relative name"
            yield node.module


def imports_of(folder):
    return {
        (str(path.relative_to(ROOT)), name)
        for path in modules(folder)
        for name in imported(path)
        if not path.is_relative_to(ROOT / folder / "migrations")
    }


@pytest.mark.parametrize("app", APPS)
def test_an_app_uses_only_apps_below_it(app):
    above = set(APPS[APPS.index(app) + 1 :])
    assert {pair for pair in imports_of(app) if pair[1].partition(".")[0] in above} == set()


def test_config_uses_no_app_but_where_the_site_is_put_together():
    found = {pair for pair in imports_of("config") if pair[1].partition(".")[0] in APPS}
    assert {path for path, _ in found if not path.startswith(JOINTS)} == set()


@pytest.mark.parametrize("app", APPS)
def test_calculations_import_only_calculations_and_libraries(app):
    ours = {"config", *APPS}
    wrong = {
        pair
        for pair in imports_of(f"{app}/calc")
        if pair[1].partition(".")[0] in ours and pair[1].split(".")[1:2] != ["calc"]
    }
    assert wrong == set()


def test_calculations_run_without_django():
    names = [
        ".".join(path.relative_to(ROOT).with_suffix("").parts)
        for path in modules(*(f"{app}/calc" for app in APPS))
        if path.stem != "__init__"
    ]
    code = (
        "import importlib, sys\n"
        f"for name in {names!r}: importlib.import_module(name)\n"
        "print(sorted({'django', 'celery', 'rest_framework', 'sqlite3'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_kinds_of_reading_know_no_database():
    ours = {name for _, name in imports_of("fieldlog/kinds") if name.partition(".")[0] in {"config", *APPS}}
    assert {name for name in ours if name.split(".")[1:2] not in (["calc"], ["kinds"])} == set()
    assert {name for _, name in imports_of("fieldlog/kinds") if name.partition(".")[0] == "django"} == set()


def test_calculations_ask_no_clock_and_no_chance():
    asked = {"time", "random", "secrets"}
    found = {pair for app in APPS for pair in imports_of(f"{app}/calc") if pair[1] in asked}
    assert found == set()
