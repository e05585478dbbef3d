#!/usr/bin/env python
"""Swardbook's command line: `manage.py start` runs everything; `manage.py help` lists the rest."""

import os
import sys

OLDEST_PYTHON = (3, 11)


def main():
    if sys.version_info < OLDEST_PYTHON:
        here, needed = (".".join(map(str, version)) for version in (sys.version_info[:2], OLDEST_PYTHON))
        sys.exit(f"Swardbook needs Python {needed} or newer; this is Python {here}.")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    try:
        from django.core.management import execute_from_command_line
    except ImportError:
        sys.exit("Django is not installed here. Run: .venv/bin/pip install -r requirements.txt")
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
