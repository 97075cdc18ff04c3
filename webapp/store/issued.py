"""What issued revisions and quotes share: papers kept byte for byte, held to the hash that is stored with them."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

DocumentKey = tuple[str, str]
"""A document's kind and paper."""


@dataclass(frozen=True, slots=True)
class DocumentHead:
    """An issued document without its bytes, which ``size`` counts."""

    kind: str
    paper: str
    sha256: str
    size: int


def sha256_of(content: bytes | str) -> str:
    """The hash that is stored with what is issued: of bytes, or of a text in UTF-8."""
    return hashlib.sha256(content.encode() if isinstance(content, str) else content).hexdigest()
