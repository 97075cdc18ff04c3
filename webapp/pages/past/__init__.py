"""Pages of what used to be: the bin, a project's history, the way back from an edit."""
