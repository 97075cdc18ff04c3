"""The ladder of an edit, once: saved and on, or the form again with what stands in its way.

Text that cannot be used and a name that is taken come back at their fields (422); what somebody else
changed meanwhile comes back beside what was typed (409). Nothing that was typed is lost.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Protocol, Self, TypeVar

from fastapi import Request, Response

from domain.problems import BadInput
from webapp.form.filled import Unusable
from webapp.site.rendering import go_to
from webapp.store.errors import NameTaken, StaleEdit, StoreError

Told = Mapping[type[StoreError], Callable[[Any], Mapping[str, str]]]
"""The sentences by field for refusals of the store that belong to a field."""


class Editable(Protocol):
    """A form that can be shown again."""

    def refused(self, errors: Mapping[str, str]) -> Self:
        """The same with a sentence at each of these fields."""

    def overtaken(self, version: int, stored: Mapping[str, str]) -> Self:
        """The same beside the texts of what is stored now."""

    def errors_of(self, refusal: BadInput) -> Mapping[str, str]:
        """The domain's refusal at the form's fields."""


Edited = TypeVar("Edited", bound=Editable)


def saved(
    request: Request,
    form: Edited,
    act: Callable[[], str],
    page: Callable[[Edited, int], Response],
    *,
    told: Told | None = None,
    stored: Callable[[], Mapping[str, str]] | None = None,
) -> Response:
    """What comes of a form: ``act`` reads it, saves it, and names the address to go on to.

    Where that is refused, ``page`` shows the form again with a status. ``told`` words what the store
    refuses at a field, ``stored`` gives the texts of what is stored now; a refusal without its words here
    is a page of its own.
    """
    try:
        address = act()
    except Unusable as refusal:
        return page(form.refused(refusal.errors), 422)
    except BadInput as refusal:
        return page(form.refused(form.errors_of(refusal)), 422)
    except StaleEdit as stale:
        if stored is None:
            raise
        return page(form.overtaken(stale.theirs_version, stored()), 409)
    except StoreError as refusal:
        words = (told or {}).get(type(refusal))
        if words is None:
            raise
        return page(form.refused(words(refusal)), 422 if isinstance(refusal, NameTaken) else 409)
    return go_to(request, address)
