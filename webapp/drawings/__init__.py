"""Drawings to scale: what the domain worked out, as shapes in millimetres with a role each.

Pure functions from domain values to a frozen ``Drawing``; ``svg`` writes it. Page and paper share both.
"""
