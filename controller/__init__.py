"""rootclock: waters bare roots by the clock, the sun, the lamps and the heat.

The version stands here and nowhere else.
"""

__version__ = "0.1.0"
