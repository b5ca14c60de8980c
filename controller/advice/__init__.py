"""Advice: which cycles keep the roots within their reserve at the fewest pump hours."""
