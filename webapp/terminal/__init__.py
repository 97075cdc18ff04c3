"""The command line, and results as text for it."""
