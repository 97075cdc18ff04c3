"""What is installed from a wheel plans, prints and serves pages with their style, without the checkout."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import sysconfig
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from tests.browser.conftest import free_port

ROOT = Path(__file__).parents[1]
LIBRARIES = sysconfig.get_paths()["purelib"], sysconfig.get_paths()["platlib"]


class Installed:
    """The program as unpacked from its wheel, in a folder from which the checkout cannot be imported."""

    def __init__(self, folder: Path) -> None:
        self.site, self.elsewhere = folder / "site", folder / "elsewhere"
        self.elsewhere.mkdir()
        pip = [sys.executable, "-m", "pip", "--quiet", "--disable-pip-version-check"]
        wheels = str(folder / "wheels")
        subprocess.run([*pip, "wheel", str(ROOT), "--no-deps", "--no-build-isolation", "-w", wheels], check=True)
        (wheel,) = (folder / "wheels").iterdir()
        subprocess.run([*pip, "install", "--no-deps", "--target", str(self.site), str(wheel)], check=True)
        self.environment = {
            **os.environ,
            "PYTHONPATH": os.pathsep.join([str(self.site), *LIBRARIES]),
            "DOVETALLY_DATA": str(folder / "data"),
        }
        self.environment.pop("DOVETALLY_DATABASE_URL", None)

    def start(self, *arguments: str) -> subprocess.Popen[bytes]:
        """Python with these arguments; -S leaves out what would lead back to the checkout."""
        return subprocess.Popen(
            [sys.executable, "-S", *arguments],
            cwd=self.elsewhere,
            env=self.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )

    def run(self, *arguments: str) -> tuple[int, bytes, bytes]:
        process = self.start(*arguments)
        out, err = process.communicate(timeout=120)
        return process.returncode, out, err

    def dovetally(self, *arguments: str) -> tuple[int, bytes, bytes]:
        return self.run(str(self.site / "bin" / "dovetally"), *arguments)


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Installed:
    return Installed(tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def project(installed: Installed) -> str:
    """A project file that has no sections of its own, so that the demo's are looked up."""
    written = installed.elsewhere / "frames.json"
    frames = json.loads((ROOT / "shared" / "demo" / "frame-set.json").read_text(encoding="utf-8"))
    assert "sections" not in frames
    written.write_text(json.dumps(frames), encoding="utf-8")
    return str(written)


def test_the_checkout_is_out_of_reach(installed: Installed) -> None:
    status, out, err = installed.run("-c", "import domain, webapp; print(domain.__file__, webapp.__file__)")
    assert (status, err) == (0, b"")
    assert [Path(place).parents[1] for place in out.decode().split()] == [installed.site, installed.site]


def test_the_licences_come_with_it(installed: Installed) -> None:
    (licences,) = installed.site.glob("dovetally-*.dist-info/licenses")
    assert (licences / "LICENSE").read_text(encoding="utf-8").startswith("MIT License")
    kept = {path.name for path in licences.rglob("*") if path.is_file()}
    assert {"NOTICES.md", "LICENSE-DejaVu.txt"} <= kept
    assert any(name.startswith("htmx-") for name in kept)


def test_it_plans(installed: Installed, project: str) -> None:
    status, out, err = installed.dovetally("takeoff", project, "--json")
    assert (status, err) == (0, b"")
    assert json.loads(out)["keys"]


def test_it_prints(installed: Installed, project: str) -> None:
    status, out, err = installed.dovetally("print", project, "schedule", "-o", "schedule.pdf")
    assert (status, out, err) == (0, b"", b"")
    assert (installed.elsewhere / "schedule.pdf").read_bytes().startswith(b"%PDF-")


def test_it_serves_pages_with_their_style(installed: Installed) -> None:
    port = free_port()
    server = installed.start(str(installed.site / "bin" / "dovetally"), "serve", "--demo", "--port", str(port))
    try:
        page = _fetched(f"http://127.0.0.1:{port}/projects", server)
        style = re.search(r'<link rel="stylesheet" href="(/static/[^"]+)"', page)
        assert style is not None
        assert "--" in _fetched(f"http://127.0.0.1:{port}{style[1]}", server)
    finally:
        server.terminate()
        server.communicate(timeout=30)


def _fetched(address: str, server: subprocess.Popen[bytes]) -> str:
    patience = time.monotonic() + 60
    while True:
        try:
            with urllib.request.urlopen(address, timeout=10) as answer:
                text: str = answer.read().decode("utf-8")
                return text
        except urllib.error.HTTPError:
            raise
        except (urllib.error.URLError, ConnectionError):
            assert server.poll() is None, server.communicate()
            assert time.monotonic() < patience
            time.sleep(0.05)
