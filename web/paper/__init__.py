"""Plans tried on paper, in processes that may be ended at any time."""
