"""Watering on demand: how long plants can rest, and how long a watering refills their roots."""
