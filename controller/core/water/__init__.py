"""What water does: evaporation, roots, pumps and reservoirs, each formula with its source."""
