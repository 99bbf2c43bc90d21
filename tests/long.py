"""What takes minutes is run where it is asked for."""

import os

import pytest

ASKED = "STUDIOTIMER_LONG"

long = pytest.mark.skipif(ASKED not in os.environ, reason=f"takes long: set {ASKED}=1")
