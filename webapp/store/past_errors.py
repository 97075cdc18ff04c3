"""Why something that used to be is not brought back: named errors that read as one sentence."""

from __future__ import annotations

from webapp.store.errors import StoreError


class NoLongerKept(StoreError):
    """What was to be brought back is not kept any more, or was brought back already."""

    def __init__(self) -> None:
        super().__init__("This is no longer kept, or was brought back already; nothing was changed.")


class ChangedSince(StoreError):
    """What an edit changed was changed again by a later one."""

    def __init__(self) -> None:
        super().__init__(
            "What this changed has been changed again since, so it was not undone; nothing was changed. "
            "Undo the later change first, or look at the history."
        )


class TakenMeanwhile(StoreError):
    """Something else has taken what only one may have: ``column`` says what, such as a name."""

    def __init__(self, table: str, column: str, value: object) -> None:
        self.table, self.column, self.value = table, column, value
        super().__init__(
            f"The {column} {value} belongs to another {table} by now, so this one was not brought back; "
            f"nothing was changed. Give the other one another {column}, then try again."
        )


class ThereAlready(StoreError):
    """The very same was added again since, such as a photograph at its place."""

    def __init__(self, table: str) -> None:
        super().__init__(f"The very same {table} was added again since, so it is there; nothing was changed.")


class OwnerGone(StoreError):
    """What it belonged to was deleted too."""

    def __init__(self, kind: str) -> None:
        self.kind = kind
        super().__init__(f"Its {kind} was deleted too; bring that back first. Nothing was changed.")


class StillNeeded(StoreError):
    """Something else refers to what would have to go."""

    def __init__(self) -> None:
        super().__init__("Something else has come to rest on it since, so it was not undone; nothing was changed.")


class Full(StoreError):
    """There is no room for what was to come back."""

    def __init__(self, most: int) -> None:
        self.most = most
        super().__init__(f"A project holds {most} assemblies and no more; delete one first. Nothing was changed.")
