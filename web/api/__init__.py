"""The routes: one part of the API a file."""
