"""The page: a client of the controller's control socket; owns no relay.

It is a process of its own, so that it may be updated, attacked or killed while the pump keeps
its time. `app` tells every route, `controller_link` is the only road to the controller.
"""
