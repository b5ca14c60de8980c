"""The one record of what the controller does now, for socket, page and command line."""
