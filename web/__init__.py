"""The page: a client of the controller's control socket; owns no relay.

Nothing serves it yet. What a grower sees so far is told by `rootclock dry-run`.
"""
