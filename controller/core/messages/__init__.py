"""What the control socket's two sides say to each other, as text and as values."""
