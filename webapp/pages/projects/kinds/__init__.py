"""Forms of the five kinds of assembly, one module a kind, described as data."""
