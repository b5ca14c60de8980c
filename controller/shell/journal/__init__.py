"""The journal: what was switched, why, and what went wrong, in one SQLite file.

`journal` is what the controller talks to. `read_log` and `figures` read the file, whether
the controller lives or not.
"""
