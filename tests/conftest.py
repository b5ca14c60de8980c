"""Settings that hold for every test, and the named places as fixtures."""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, settings

from tests.places import PLACES, Place

# Quick runs repeat exactly; a long one (ROOTCLOCK_EXAMPLES=10000) looks elsewhere each time.
# A deadline would measure the machine; so would the check for slow generation.
_LONG = os.environ.get("ROOTCLOCK_EXAMPLES")
settings.register_profile(
    "rootclock",
    max_examples=int(_LONG or 100),
    derandomize=_LONG is None,
    database=None,
    deadline=None,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.load_profile("rootclock")


@pytest.fixture(params=PLACES, ids=lambda place: place.name)
def place(request: pytest.FixtureRequest) -> Place:
    """Each named place in turn."""
    found: Place = request.param
    return found
