"""Sensors as the kernel gives them: values in files, contacts and pulses on lines."""
