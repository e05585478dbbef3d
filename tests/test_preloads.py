"""What a page asks for at once is what its modules import: a module that is missed costs a phone one more round trip."""

import re
from pathlib import Path

import pytest
from django.contrib.staticfiles.finders import find
from django.template.loader import get_template

IMPORT = re.compile(r'from "(\.\.?/[\w./-]+)";')
INCLUDE = re.compile(r'{% include "([\w/.-]*(?:_scripts|_preloads|_record_head)\.html)"')
PRELOADED = re.compile(r"""rel="modulepreload" href="{% static '([\w/.-]+)' %}""")
ON_EVERY_PAGE = "base.html"
PAGES = {
    "plots/map.js": "plots/_map_scripts.html",
    "plots/draw/editor.js": "plots/draw.html",
    "plots/landmark_edit.js": "plots/landmark_edit.html",
    "plots/reshape/split.js": "plots/split.html",
    "plots/reshape/merge.js": "plots/merge.html",
    "plots/record/record_map.js": "plots/_record_head.html",
    "fieldlog/connect/page.js": "fieldlog/connect.html",
    "fieldlog/walk_review.js": "fieldlog/walk_review.html",
    "fieldlog/work_map.js": "fieldlog/_work_map_scripts.html",
}


def imported_by(module):
    """Every module that this one needs, itself left out."""
    found, new = set(), {module}
    while new:
        found |= new
        new = {
            str((Path("/") / Path(each).parent / name).resolve())[1:]
            for each in new
            for name in IMPORT.findall(Path(find(each)).read_text("utf-8"))
        } - found
    return found - {module}


def preloaded_by(template):
    text = get_template(template).template.source
    parts = [preloaded_by(name) for name in INCLUDE.findall(text)]
    return set(PRELOADED.findall(text)).union(*parts)


@pytest.mark.parametrize(("module", "template"), PAGES.items())
def test_a_page_preloads_what_its_module_imports(module, template):
    assert preloaded_by(template) == imported_by(module) - preloaded_by(ON_EVERY_PAGE)


def test_every_page_preloads_what_the_module_of_every_page_imports():
    assert preloaded_by(ON_EVERY_PAGE) == imported_by("site/token.js")
