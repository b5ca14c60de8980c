"""Edits of a plan's text that leave all the rest as it is."""
