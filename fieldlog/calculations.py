"""Every described calculation of the site, found where it is written.

The pages, the API and its schema all start here, so that a calculation that is written in one of `PACKAGES`
appears in each of them.
"""

import functools
import pkgutil
from importlib import import_module

from plots.calc.described import calculations_in

PACKAGES = ("blends.calc", "fieldlog.calc")


def calculations():
    """All of them, by topic."""
    return _found(PACKAGES)


def calculation_named(name):
    """The calculation of that name, or None."""
    return next((one for one in calculations() if one.name == name), None)


@functools.cache
def _found(packages):
    found = calculations_in(*(module for package in packages for module in _modules(package)))
    names = [one.name for one in found]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise TypeError(f"{', '.join(twice)} names two calculations; accepted is a name for each")
    return tuple(found)


def _modules(package):
    paths = import_module(package).__path__
    return [import_module(f"{package}.{each.name}") for each in pkgutil.iter_modules(paths)]
