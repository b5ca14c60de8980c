"""What one field of a plan cannot tell: contradictions, hazards, oddities."""
