"""Where the program keeps its data and where it listens. Importing this does nothing."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from platformdirs.macos import MacOS
from platformdirs.unix import Unix
from platformdirs.windows import Windows

FILE_NAME = "dovetally.db"
_SQLITE_URL = "sqlite:///"


class NetworkPath(ValueError):
    """A place on the network, where SQLite's locks do not hold and data gets damaged."""

    def __init__(self, place: str) -> None:
        self.place = place
        super().__init__(f"{place} is on the network, where the data would get damaged; name a local folder.")


@dataclass(frozen=True, slots=True)
class Settings:
    """The program's settings. ``database`` is a path or a URL that ``Store.open`` takes."""

    data: Path
    database: str
    host: str = "127.0.0.1"
    port: int = 8765

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] = os.environ) -> Settings:
        """Settings from DOVETALLY_DATA and DOVETALLY_DATABASE_URL, or their defaults.

        Raises NetworkPath for a Windows share.
        """
        given = environment.get("DOVETALLY_DATA", "").strip()
        refuse_network(given)
        data = Path(given).expanduser().absolute() if given else user_data_folder()
        refuse_network(str(data))
        database = environment.get("DOVETALLY_DATABASE_URL", "").strip() or str(data / FILE_NAME)
        refuse_network(database.removeprefix(_SQLITE_URL))
        return cls(data, database)


def refuse_network(place: str) -> None:
    r"""Raise NetworkPath for a share such as ``\\server\share`` or ``//server/share``.

    A drive that Windows writes in its long form, ``\\?\C:\data``, is a local one.
    """
    same = place.replace("\\", "/").upper()
    if same.startswith("//") and (same.startswith("//?/UNC/") or not same.startswith("//?/")):
        raise NetworkPath(place)


def user_data_folder(platform: str = sys.platform) -> Path:
    """The folder in which the platform keeps a user's data, with ours in it. It need not exist yet."""
    if platform == "win32":
        return Windows("Dovetally", appauthor=False).user_data_path
    if platform == "darwin":
        return MacOS("Dovetally").user_data_path
    return Unix("dovetally").user_data_path
