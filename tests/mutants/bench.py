"""A copy of the project in which faults are tried, so that the checkout itself is never touched."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
NEEDED = ("domain", "webapp", "templates", "static", "shared", "tests", "pyproject.toml")
PATIENCE_SECONDS = 1_500
"""A fault may make a search endless, which is noticed too: far longer than the tests take on a busy machine."""


@dataclass(frozen=True)
class Bench:
    """A copy of the project's tree in ``root``."""

    root: Path

    def notices(self, module: str, source: str, *tests: str) -> bool:
        """Whether one of these tests fails while ``source`` stands in the place of the module's."""
        with self._changed(module, source):
            command = [
                sys.executable,
                "-m",
                "pytest",
                "-x",
                "-q",
                "-p",
                "no:cacheprovider",
                "-p",
                "no:xdist",
                *tests,
            ]
            try:
                run = subprocess.run(
                    command, cwd=self.root, env=_environment(), capture_output=True, timeout=PATIENCE_SECONDS
                )
            except subprocess.TimeoutExpired:
                return True
        # 1: tests failed, 2: they could not even be collected; anything else is no answer
        assert run.returncode in {0, 1, 2}, run.stdout.decode() + run.stderr.decode()
        return run.returncode != 0

    def users_of(self, module: str, tests: str) -> list[str]:
        """The test files of a folder that import the module, which are likely to notice first."""
        dotted = module.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
        files = sorted((self.root / tests).glob("test_*.py"))
        return [
            str(file.relative_to(self.root)) for file in files if f"{dotted} import" in file.read_text("utf-8")
        ]

    @contextmanager
    def _changed(self, module: str, source: str) -> Iterator[None]:
        place = self.root / module
        kept = place.read_bytes()
        place.write_text(source, "utf-8")
        try:
            yield
        finally:
            place.write_bytes(kept)


def set_up(root: Path) -> Bench:
    """A bench with a fresh copy of the project."""
    for name in NEEDED:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, root / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy2(ROOT / name, root / name)
    return Bench(root)


def _environment() -> dict[str, str]:
    """The tests' own, without long runs; no compiled file may outlive the fault that it was compiled from."""
    kept = {name: value for name, value in os.environ.items() if name != "DOVETALLY_TORTURE"}
    return {**kept, "PYTHONDONTWRITEBYTECODE": "1", "PYTHONPATH": "."}
