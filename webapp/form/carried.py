"""What a form carries unseen: its token, and the version of what it edits."""

from __future__ import annotations

from uuid import uuid4


def new_token() -> str:
    """A fresh token for a form, by which it books once however often it is sent."""
    return uuid4().hex


def sent_version(text: str) -> int:
    """The row's version that a form carried; 0, which is no row's, where it carried none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0
