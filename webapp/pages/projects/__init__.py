"""Projects with their assemblies, schedule and keys."""
