"""What a phone keeps of this site, so that the pages of the field open without signal."""

import json
from dataclasses import dataclass, field
from hashlib import sha256

from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse

_SHARED = {
    "fieldlog/offline": (
        *("facts", "files", "hold", "ids", "kinds", "names", "outbox", "parts", "phone", "queue", "room"),
        *("screens", "sending", "shell", "store", "words", "zip"),
    ),
    "fieldlog/field": ("kind", "work_kinds"),
    "fieldlog/sheets": ("kind",),
    "fieldlog/walk": ("kind",),
    "plots": ("units",),
    "site": ("asking", "memory"),
}
_WALK = {
    "fieldlog/walk": ("page", "choose", "figures", "recorder", "sketch", "troubles"),
    "plots/draw": ("rough",),
}
_SHEETS = {
    "fieldlog/offline": ("draft",),
    "fieldlog/sheets": ("page", "check", "fills", "form", "list", "record", "sheet"),
}
_FIELD = {
    "fieldlog/field": ("page", "asked", "checks", "ground", "home", "kind", "sketch", "where"),
    "fieldlog/offline": ("facts", "ids", "screens", "shell", "store", "words"),
    "plots": ("units",),
}
# What the field log asks for once its first screen is there.
_FIELD_LATER = {
    "fieldlog/field": (
        *("asking", "checkin", "drawings", "heat", "keypad", "photos", "picture", "pictures", "pin"),
        *("records", "steps", "tallies", "visit", "work", "work_kinds", "work_new", "work_report"),
    ),
    "fieldlog/offline": (
        *("draft", "files", "hold", "kinds", "names", "outbox", "parts", "phone", "queue", "room", "sending"),
        "zip",
    ),
    "fieldlog/sheets": ("kind",),
    "fieldlog/walk": ("kind",),
    "site": ("asking", "memory"),
}
OTHERS = ["site/icon.svg"]


def _names(*folders):
    return [f"{folder}/{name}.js" for each in folders for folder, names in each.items() for name in names]


@dataclass(frozen=True)
class Shell:
    """A page that a phone keeps: the same text for everybody and every property.

    `opens` is what the path of an address looks like that it stands for, `route` where the text alone is, `modules`
    what its script imports, `later` what it imports once the page stands.
    """

    route: str
    template: str
    opens: str
    modules: list
    styles: list
    later: list = field(default_factory=list)

    def text(self):
        return render_to_string(self.template, {"modules": [static(name) for name in self.modules]})


WALK = Shell(
    "walk-shell",
    "fieldlog/walk.html",
    r"^/p/[^/]+/walk/$",
    _names(_SHARED, _WALK),
    ["site/swardbook.css", "fieldlog/hand.css", "fieldlog/walk.css"],
)
SHEETS = Shell(
    "sheets-shell",
    "fieldlog/sheets.html",
    r"^/p/[^/]+/seasons/[^/]+/field/$",
    _names(_SHARED, _SHEETS),
    ["site/swardbook.css", "fieldlog/hand.css", "fieldlog/sheets.css"],
)
FIELD = Shell(
    "field-shell",
    "fieldlog/field.html",
    r"^/p/[^/]+/field/$",
    _names(_FIELD),
    ["site/swardbook.css", "fieldlog/hand.css", "fieldlog/field.css", "fieldlog/field_work.css"],
    _names(_FIELD_LATER),
)
SHELLS = [FIELD, WALK, SHEETS]


def kept_files():
    """Names of all that the pages need, each once."""
    found = [name for shell in SHELLS for name in (*shell.styles, *shell.modules, *shell.later)]
    return list(dict.fromkeys([*OTHERS, *found]))


def worker():
    """The service worker's text. It names what it keeps by all that is in it, so a browser takes each release whole."""
    files = [static(name) for name in kept_files()]
    texts = [shell.text() for shell in SHELLS]
    pages = [{"opens": shell.opens, "shell": reverse(shell.route)} for shell in SHELLS]
    digest = sha256(json.dumps([texts, pages, files]).encode()).hexdigest()[:16]
    facts = {"name": f"shell-{digest}", "pages": pages, "files": files}
    return render_to_string("fieldlog/sw.js", {"facts": json.dumps(facts)})
