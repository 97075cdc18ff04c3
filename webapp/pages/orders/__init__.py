"""Orders and what a project costs."""
