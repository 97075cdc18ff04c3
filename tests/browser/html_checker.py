"""The Nu HTML checker (npm ``vnu-jar``, MIT), as a server beside the tests: what it says of a document.

It is the checker of the W3C's own page, https://validator.w3.org/nu/, and reads by the HTML standard.
Attributes that begin with ``hx-`` are htmx's and not the standard's; they are the only thing forgiven.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path

START_SECONDS = 60
OURS = re.compile(r"Attribute “hx-[a-z:-]+” not allowed on element")


class HtmlChecker:
    """Asks a running checker; a document that was looked at already is not looked at again."""

    def __init__(self, url: str) -> None:
        self._url = url
        self._seen: set[bytes] = set()

    def errors(self, html: str) -> list[str]:
        """What is wrong in this document, each with the place; empty where nothing is."""
        body = html.encode()
        digest = sha256(body).digest()
        if digest in self._seen:
            return []
        asked = urllib.request.Request(
            f"{self._url}/?out=json&level=error",
            data=body,
            headers={"Content-Type": "text/html; charset=utf-8"},
        )
        with urllib.request.urlopen(asked, timeout=START_SECONDS) as answer:
            messages = json.load(answer)["messages"]
        said = [
            f"{message['message']}: {message.get('extract', '')}"
            for message in messages
            if not OURS.match(message["message"])
        ]
        if not said:
            self._seen.add(digest)
        return said

    def ready(self) -> bool:
        try:
            return self.errors("<!doctype html><html lang=en><title>Ready</title>") == []
        except (urllib.error.URLError, ConnectionError):
            return False


@contextmanager
def checking(jar: Path, port: int) -> Iterator[HtmlChecker]:
    """A checker for as long as it is needed, reached from this computer only."""
    java = shutil.which("java")
    assert java is not None
    process = subprocess.Popen(
        [
            java,
            "-Xss2m",  # its parser goes as deep as the document
            "-Xmx512m",
            # for a few hundred documents: what the second compiler makes faster costs twice what it saves
            "-XX:TieredStopAtLevel=1",
            "-XX:+UseSerialGC",
            "-Dnu.validator.servlet.bind-address=127.0.0.1",
            "-cp",
            str(jar),
            "nu.validator.servlet.Main",
            str(port),
        ],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    checker = HtmlChecker(f"http://127.0.0.1:{port}")
    patience = time.monotonic() + START_SECONDS
    try:
        while not checker.ready():
            assert process.poll() is None, "the HTML checker ended by itself"
            assert time.monotonic() < patience, f"the HTML checker did not answer in {START_SECONDS} s"
            time.sleep(0.2)
        yield checker
    finally:
        process.kill()
        process.wait()
