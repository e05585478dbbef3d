"""What the documentation promises is what the code has."""

import re
import tomllib
from pathlib import Path

import pytest
from drf_spectacular.generators import SchemaGenerator

ROOT = Path(__file__).resolve().parent.parent
METHODS = ("get", "post", "put", "patch", "delete")
READ_VARIABLE = re.compile(r'\benv\.\w+\(\s*"(\w+)"')


def text_of(name):
    return (ROOT / name).read_text(encoding="utf-8")


def table_rows(name):
    """{first cell: the other cells} of every table of a document."""
    rows = re.findall(r"^\| (.+) \|$", text_of(name), re.MULTILINE)
    return {first.strip("`"): rest for first, *rest in (row.split(" | ") for row in rows)}


def variables():
    files = [path for path in (ROOT / "config").rglob("*.py") if path.name != "env.py"]
    return sorted({name for path in files for name in READ_VARIABLE.findall(path.read_text("utf-8"))})


def api_routes():
    paths = SchemaGenerator().get_schema(public=True)["paths"]
    return sorted(
        (path, tuple(method.upper() for method in METHODS if method in each)) for path, each in paths.items()
    )


def packages():
    listed = tomllib.loads(text_of("pyproject.toml"))["project"]["dependencies"]
    return sorted(re.match(r"[\w-]+", each)[0] for each in listed)


@pytest.mark.parametrize("name", variables())
def test_every_setting_is_documented_with_meaning_default_and_what_is_accepted(name):
    assert len(table_rows("DEVELOPERS.md")[name]) == 3


def test_no_setting_is_documented_that_is_not_read():
    documented = {name for name in table_rows("DEVELOPERS.md") if re.fullmatch(r"SWARDBOOK_\w+", name)}
    assert documented <= set(variables())


def test_every_api_route_is_documented_with_its_methods():
    rows = table_rows("DEVELOPERS.md")
    documented = sorted(
        (path, tuple(cells[0].split(", "))) for path, cells in rows.items() if path.startswith("/api/v1/")
    )
    assert documented == api_routes()


@pytest.mark.parametrize("package", packages())
def test_every_dependency_has_its_reason(package):
    assert f"`{package}`" in text_of("DEVELOPERS.md")


@pytest.mark.parametrize("package", packages())
def test_every_dependency_is_locked_to_one_version(package):
    locked = re.findall(
        rf"^{re.escape(package)}(?:\[.*\])?==([\w.]+)", text_of("requirements.txt"), re.M | re.I
    )
    assert locked


def test_the_lock_names_no_index_and_nothing_but_exact_versions():
    lines = [line for line in text_of("requirements.txt").splitlines() if not line.lstrip().startswith("#")]
    assert [line for line in lines if not re.match(r"[\w.-]+==[\w.]+( ; .*)?$", line)] == []


def test_the_readme_opens_with_what_it_is_and_has_the_two_commands():
    setup = "    python3 -m venv .venv && .venv/bin/pip install -r requirements.txt && "
    commands = [line for line in text_of("README.md").splitlines() if line.startswith("    ")]
    assert commands[:2] == [setup + ".venv/bin/python manage.py start --demo", setup + ".venv/bin/pytest"]
