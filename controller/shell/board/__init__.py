"""The board: relays and contacts on GPIO lines; the one home of gpiozero."""
