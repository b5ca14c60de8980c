"""What a dry run does to roots, reservoirs and pumps: modelled water beside switched loads."""
