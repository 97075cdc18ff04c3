"""Which rows of a published table somebody means by the name that he gave the wood."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import lru_cache


def words_of(text: str) -> frozenset[str]:
    """The words of a name, in small letters, without signs."""
    return frozenset(re.findall(r"[a-z]+", text.casefold()))


@lru_cache(maxsize=256)
def kind_words(name: str) -> frozenset[str]:
    """The words before the comma, colon or bracket: what must be said for the kind to be meant."""
    return words_of(re.split(r"[,:(]", name)[0])


def meant(
    text: str, names: Sequence[str], needed: Callable[[str], frozenset[str]] = kind_words
) -> tuple[int, ...]:
    """The places of the rows that a name means, none where it names no kind of the table.

    The kind is enough, and words more narrow it.

    >>> table = ("Ash, black", "Ash, white", "Cherry, black")
    >>> meant("ash", table), meant("white ash", table), meant("wenge", table)
    ((0, 1), (1,), ())
    """
    said = words_of(text)
    named = [place for place, name in enumerate(names) if needed(name) <= said]
    # "douglas fir" is no fir, and of the cedars two are red
    most = max((len(words_of(names[place]) & said) for place in named), default=0)
    return tuple(place for place in named if len(words_of(names[place]) & said) == most)
