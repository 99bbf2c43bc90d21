"""Faults of the window's own files are met where there is a Qt application, as there is at every start."""

import pytest


@pytest.fixture(autouse=True)
def application(qapp):
    """Have an application, whichever test comes first."""
    return qapp
