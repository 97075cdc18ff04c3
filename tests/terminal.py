"""The command line without a process of its own: what a person or a script would read, and the status.

A process takes two seconds of processor time to begin, of which a test that reads a sentence needs none. That
a process says the same is a test of its own (``test_cli``).
"""

from __future__ import annotations

import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import BytesIO, TextIOWrapper

import pytest

from webapp import data_folder
from webapp.terminal.cli import main
from webapp.usecases import demo

SHIPPED = data_folder("shared/demo")


@dataclass(frozen=True)
class Run:
    """What was written, and how it ended."""

    returncode: int
    stdout: bytes
    stderr: bytes


def dovetally(*arguments: str, stdin: str | bytes = b"") -> Run:
    """Run the command line here, with the demo that the program comes with, as a process would have it."""
    sent = TextIOWrapper(BytesIO(stdin.encode() if isinstance(stdin, str) else stdin), "utf-8")
    out, err = (TextIOWrapper(BytesIO(), "utf-8") for _ in range(2))
    with pytest.MonkeyPatch.context() as patched, redirect_stdout(out), redirect_stderr(err):
        patched.setattr(sys, "stdin", sent)
        patched.setattr(demo, "FOLDER", SHIPPED)
        forget_the_demo()
        try:
            status = main(arguments)
        except SystemExit as ended:
            # what a process ends with where its command line is no command line
            if not isinstance(ended.code, int):
                raise
            status = ended.code
        finally:
            forget_the_demo()
    return Run(int(status), written(out), written(err))


def written(stream: TextIOWrapper) -> bytes:
    stream.flush()
    buffer = stream.buffer
    assert isinstance(buffer, BytesIO)
    return buffer.getvalue()


def forget_the_demo() -> None:
    """What was read of the demo's files: the tests' own workshop is another."""
    demo.demo_shop.cache_clear()
    demo.demo_projects.cache_clear()
