"""Wood: the parts to cut."""
