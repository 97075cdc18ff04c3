"""Quotes: what a customer is asked for a project, what was issued, what the shop usually asks."""
