"""The shop's own settings, and the cautions."""
