"""From a cold start to the first page, beside importing the libraries that the program stands on."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from tests.bench.pages import filled_store, free_port

ROUNDS = 5
LIBRARIES = "import fastapi, sqlmodel, uvicorn"


@dataclass(frozen=True)
class StartRatio:
    """Seconds: the program from start to its first page, and the bare imports."""

    program: float
    imports: float

    @property
    def ratio(self) -> float:
        """How much longer the program takes."""
        return self.program / self.imports


def measure(folder: Path) -> StartRatio:
    """The best of a few, turn about."""
    filled_store(folder)
    rounds = [(_first_page(folder), _imports()) for _ in range(ROUNDS)]
    return StartRatio(min(program for program, _ in rounds), min(imports for _, imports in rounds))


def _imports() -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", LIBRARIES], check=True)
    return time.perf_counter() - start


def _first_page(folder: Path) -> float:
    port = free_port()
    start = time.perf_counter()
    server = subprocess.Popen(
        [sys.executable, "-m", "webapp.terminal.cli", "serve", "--port", str(port)],
        env={**os.environ, "DOVETALLY_DATA": str(folder)},
        stdout=subprocess.DEVNULL,
    )
    try:
        while True:
            try:
                page = _ask(port)
            except OSError:
                time.sleep(0.005)
                continue
            assert page.startswith(b"HTTP/1.1 200"), page[:200]
            return time.perf_counter() - start
    finally:
        server.terminate()
        server.wait()


def _ask(port: int) -> bytes:
    with socket.create_connection(("127.0.0.1", port), timeout=30) as connection:
        connection.sendall(
            f"GET /projects HTTP/1.1\r\nHost: localhost:{port}\r\nConnection: close\r\n\r\n".encode()
        )
        answer = b""
        while part := connection.recv(65536):
            answer += part
    return answer
