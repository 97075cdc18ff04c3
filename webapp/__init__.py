"""The program around the trade: settings, store, use cases, pages, api, command line.

Its templates, files for the browser and demo data lie beside this package in a checkout, and inside it in
what was installed from a wheel.
"""

from __future__ import annotations

from pathlib import Path

_HERE = Path(__file__).parent
_DATA = _HERE / "data"


def data_folder(name: str) -> Path:
    """The folder of the program's own data called ``name``: ``templates``, ``static`` or ``shared/demo``."""
    return (_DATA if _DATA.is_dir() else _HERE.parent) / name
