"""Documents read back: what a file holds, and whether it holds."""
