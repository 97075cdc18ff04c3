"""Issued revisions and what changed since."""
