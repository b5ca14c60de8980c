"""What rootclock decides with: pure functions of their arguments.

Nothing in here reads a clock, a file, a socket or a pin; the same input gives the
same output. `tests/unit/test_structure.py` holds it to that.
"""
