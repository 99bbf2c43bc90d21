"""Everything public says what it does; what only answers a base class, as Qt's events do, is told there."""

import importlib
import inspect
import pkgutil

import pytest

import studiotimer

NOT_IMPORTED = ("__main__", "window.player")
"""What runs when it is imported: a script of its own."""
MODULES = [
    each.name
    for each in pkgutil.walk_packages(studiotimer.__path__, "studiotimer.")
    if not each.name.endswith(NOT_IMPORTED)
]


def silent(kind):
    """Return the public functions of a class that say nothing, those apart that a base of it has already."""
    for name, held in tuple(vars(kind).items()):
        function = held.fget if isinstance(held, property) else getattr(held, "__func__", held)
        ours = inspect.isfunction(function) and function.__module__ == kind.__module__
        if name.startswith("_") or not ours or function.__name__ != name or function.__doc__:
            continue
        if not any(name in vars(base) for base in kind.__mro__[1:]):
            yield f"{kind.__name__}.{name}"


@pytest.mark.parametrize("name", MODULES)
def test_everything_public_says_what_it_does(name):
    module = importlib.import_module(name)
    found = []
    for own, held in tuple(vars(module).items()):
        if own.startswith("_") or getattr(held, "__module__", None) != name:
            continue
        if inspect.isclass(held):
            found += [own] if not held.__doc__ else []
            found += silent(held)
        elif inspect.isfunction(held) and held.__name__ == own and not held.__doc__:
            found.append(own)
    assert not found, f"{name}: {', '.join(found)} say nothing"
