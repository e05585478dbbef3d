#!/usr/bin/env python
"""Swardbook's command line: `manage.py start` runs everything; `manage.py help` lists the rest."""

import os
import sys

OLDEST_PYTHON = (3, 11)
OURS = {"config", "plots", "blends", "fieldlog"}


def main():
    if sys.version_info < OLDEST_PYTHON:
        here, needed = (".".join(map(str, version)) for version in (sys.version_info[:2], OLDEST_PYTHON))
        sys.exit(f"Swardbook needs Python {needed} or newer; this is Python {here}.")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    try:
        from django.core.exceptions import ImproperlyConfigured
        from django.core.management import execute_from_command_line
    except ModuleNotFoundError as error:
        sys.exit(not_installed(error))
    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as error:
        sys.exit(str(error))
    except ModuleNotFoundError as error:
        if error.name.partition(".")[0] in OURS:
            raise
        sys.exit(not_installed(error))


def not_installed(error):
    package = error.name.partition(".")[0]
    return f"The package {package!r} is not installed here. Run: .venv/bin/pip install -r requirements.txt"


if __name__ == "__main__":
    main()
