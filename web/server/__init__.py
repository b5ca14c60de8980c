"""The server that the page runs on, and how much of it one visitor may have."""
