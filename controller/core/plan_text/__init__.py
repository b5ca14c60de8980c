"""From a plan file's bytes to a plan, or to all that is wrong with it."""
