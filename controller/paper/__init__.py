"""A plan tried on paper: all findings about it, and a run with what came of it."""
