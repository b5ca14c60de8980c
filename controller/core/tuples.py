"""Named tuples made at once."""

from __future__ import annotations

# `made(Kind, fields)` is what `Kind(*fields)` comes to, in a third of the time: the constructor
# of a named tuple is Python that calls this. Nothing here counts the fields or knows their
# types, so it is for the few values of which a dry run makes millions
# (tests/property/test_weighed.py).
made = tuple.__new__
