"""The control socket: the one door through which page and command line reach the daemon."""
