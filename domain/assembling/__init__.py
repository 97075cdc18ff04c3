"""In what order an assembly goes together: what is in whose way, and the steps that let everything in."""
