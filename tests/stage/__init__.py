"""The doubles that the real loop runs on in tests: time, lines, a disk, and people."""
