"""The parts of a plan, as pydantic models and the values that they are written with."""
