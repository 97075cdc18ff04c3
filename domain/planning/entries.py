"""Edges that keys come from, in words."""

from __future__ import annotations

from domain.spec.choices import Entry

ENTRY_WORDS = {
    Entry.BACK: "back",
    Entry.FRONT: "front",
    Entry.BOTH: "both edges",
    Entry.TOP: "top",
    Entry.BOTTOM: "bottom",
}
