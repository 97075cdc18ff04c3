"""The catalogue: key sections and plugs."""
