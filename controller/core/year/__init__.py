"""A plan walked through a year: what the season, the clocks and its sensors do to it."""
