"""Each assembly kind is one file that knows how to take itself apart, and nothing of keys."""
