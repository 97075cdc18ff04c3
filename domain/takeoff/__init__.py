"""Counting what the plans need, and the takeoff document."""
