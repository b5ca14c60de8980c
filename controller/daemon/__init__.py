"""The daemon: the loop that switches relays, and what it is wired from."""
