"""The world as rootclock meets it: one outside thing a file."""
