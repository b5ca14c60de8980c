"""The picture of a run: what is recorded of it, and how it is drawn."""
