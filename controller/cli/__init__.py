"""The command line: parse, call, print, exit code. One file a group of commands."""
