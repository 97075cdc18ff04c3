"""The second folder for backups, on another disk if the owner names one.

It is written down beside the backups, not in the database: it is this computer's, and a restore must not move it.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

from domain.problems import BadInput, Problem
from webapp.store.backup import folder_of, keeping_in, sync
from webapp.wording.problems import InputProblem

_FILE = "second-folder.json"
_FIELD = "second_folder"


def second_folder(database: Path) -> Path | None:
    """The folder that was named, which may be out of reach just now; None where none was."""
    try:
        said = json.loads((folder_of(database) / _FILE).read_text(encoding="utf-8"))
        return Path(said[_FIELD])
    except (OSError, ValueError, TypeError, KeyError):
        return None


def name_second_folder(database: Path, text: str) -> None:
    """Back up to this folder too; "" for no longer. Raises BadInput at the field, CannotKeep or DiskFull."""
    folder = folder_of(database)
    if text:
        _check(Path(text), text, database)
    with keeping_in(folder):
        folder.mkdir(parents=True, exist_ok=True)
        if not text:
            (folder / _FILE).unlink(missing_ok=True)
            return
        part = folder / f".{_FILE}.part"
        part.write_text(json.dumps({_FIELD: text}, ensure_ascii=False), encoding="utf-8")
        sync(part)
        os.replace(part, folder / _FILE)


def _check(named: Path, text: str, database: Path) -> None:
    if not named.is_absolute() or not named.is_dir():
        raise BadInput([Problem.of((_FIELD,), text, InputProblem.NO_SUCH_FOLDER)])
    within = {named.resolve(), *named.resolve().parents}
    if database.parent.resolve() in within:
        raise BadInput([Problem.of((_FIELD,), text, InputProblem.FOLDER_OF_THE_DATA)])
