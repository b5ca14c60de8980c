"""Who may ask, and how much: hosts, origins, passcode, sessions, sizes and rates."""
