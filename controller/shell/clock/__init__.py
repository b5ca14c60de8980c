"""Time as this machine knows it: the time of day, elapsed time, and whether to believe them."""
