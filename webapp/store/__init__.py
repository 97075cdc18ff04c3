"""The shop's data at rest: one database, spoken to in the domain's own values.

``engine`` opens it and hands out sessions, one module a noun reads and writes, ``errors`` names
what can go wrong. Rows (``tables``) stay inside this package.
"""

from webapp.store.engine import Store

__all__ = ["Store"]
