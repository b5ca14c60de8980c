"""For tests in whose process a service has run."""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterator

import pytest


@pytest.fixture(autouse=True)
def unfrozen() -> Iterator[None]:
    """A service freezes what there is; the tests after this one want it collected."""
    interval_s = sys.getswitchinterval()
    yield
    gc.unfreeze()
    sys.setswitchinterval(interval_s)
