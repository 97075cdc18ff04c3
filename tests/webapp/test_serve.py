"""Starting and stopping the server, as a person at a terminal sees it."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import sqlite3
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from urllib.parse import urlencode

import pytest

from webapp.site import urls
from webapp.store import Store

ROOT = Path(__file__).parents[2]


def start(data: Path, port: int, *options: str, **environment: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "webapp.terminal.cli", "serve", "--port", str(port), *options],
        cwd=ROOT,
        env={**os.environ, "DOVETALLY_DATA": str(data), **environment},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def wait_until_it_answers(port: int) -> None:
    for _ in range(600):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    raise AssertionError(f"nothing answers on port {port}")


@pytest.fixture
def port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        free: int = found.getsockname()[1]
        return free


@pytest.fixture
def running(tmp_path: Path, port: int) -> Iterator[subprocess.Popen[str]]:
    server = start(tmp_path / "data", port)
    wait_until_it_answers(port)
    yield server
    if server.poll() is None:
        server.kill()
        server.communicate()


@pytest.mark.skipif(sys.platform == "win32", reason="Windows sends Ctrl+C to a whole console")
def test_ctrl_c_stops_it_without_a_word(running: subprocess.Popen[str], port: int) -> None:
    time.sleep(0.5)
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=30)
    assert running.returncode == 0
    assert out == f"Dovetally is at http://127.0.0.1:{port}  (stop it with Ctrl+C)\n"
    assert err == ""


def test_a_port_in_use_is_said_in_one_line(running: subprocess.Popen[str], tmp_path: Path, port: int) -> None:
    second = start(tmp_path / "other", port)
    out, err = second.communicate(timeout=30)
    assert (second.returncode, out) == (2, "")
    assert err.startswith(f"port {port} on 127.0.0.1 cannot be used: ")
    assert err.count("\n") == 1
    assert running.poll() is None


def test_the_same_data_is_served_once(running: subprocess.Popen[str], tmp_path: Path) -> None:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        another: int = found.getsockname()[1]
    second = start(tmp_path / "data", another)
    out, err = second.communicate(timeout=30)
    assert (second.returncode, out) == (2, "")
    assert err.startswith("Dovetally is already running on this data")
    assert running.poll() is None


def test_a_data_file_of_another_program_is_refused(tmp_path: Path, port: int) -> None:
    (tmp_path / "dovetally.db").write_bytes(b"not a database at all" * 100)
    server = start(tmp_path, port)
    out, err = server.communicate(timeout=30)
    assert (server.returncode, out) == (2, "")
    assert err.count("\n") == 1
    assert "Traceback" not in err
    assert (tmp_path / "dovetally.db").read_bytes() == b"not a database at all" * 100


def test_an_empty_shop_takes_no_missing_ones_place_unasked(tmp_path: Path, port: int) -> None:
    Store.open(tmp_path / "dovetally.db").close()
    (tmp_path / "dovetally.db").unlink()
    server = start(tmp_path, port)
    out, err = server.communicate(timeout=30)
    assert (server.returncode, out) == (2, "")
    assert err.count("\n") == 1
    assert "where a shop's data used to be" in err
    assert "--new-shop" in err
    assert not (tmp_path / "dovetally.db").exists()
    begun = start(tmp_path, port, "--new-shop")
    wait_until_it_answers(port)
    begun.kill()
    begun.communicate()
    assert (tmp_path / "dovetally.db").exists()


def test_damaged_data_is_served_to_look_at(tmp_path: Path, port: int) -> None:
    Store.open(tmp_path / "dovetally.db").close()
    with closing(sqlite3.connect(tmp_path / "dovetally.db")) as connection:
        connection.execute("DROP TRIGGER tick_no_update")
    server = start(tmp_path, port)
    wait_until_it_answers(port)
    with urllib.request.urlopen(f"http://127.0.0.1:{port}{urls.health}", timeout=30) as answer:
        assert b"the trigger tick_no_update is missing" in answer.read()
    server.kill()
    _, err = server.communicate()
    assert err.startswith("Nothing can be saved. The data file is damaged (the trigger tick_no_update is missing)")
    assert err.count("\n") == 1


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere 127.0.0.2 has to be set up first")
class TestNetwork:
    """Another loopback address is a way in like the network's, so that one computer can try it."""

    @pytest.fixture
    def open_server(self, tmp_path: Path, port: int) -> Iterator[subprocess.Popen[str]]:
        server = start(tmp_path / "data", port, "--network")
        wait_until_it_answers(port)
        yield server
        server.kill()
        server.communicate()

    def asked(self, address: str, port: int, request: str, *headers: str) -> str:
        """The first line of the answer to these very bytes."""
        with socket.create_connection((address, port), timeout=30) as line:
            host = f"Host: {address}:{port}"
            line.sendall(
                "\r\n".join([f"{request} HTTP/1.1", host, "Connection: close", *headers, "", ""]).encode()
            )
            return line.makefile("rb").readline().decode().strip()

    def test_it_listens_everywhere_and_lets_nobody_in(self, open_server: subprocess.Popen[str], port: int) -> None:
        assert "200" in self.asked("127.0.0.1", port, f"GET {urls.cautions}")
        for request in (f"GET {urls.cautions}", f"POST {urls.api_check}", "OPTIONS *", "GET /nowhere", "BREW /"):
            assert "401" in self.asked("127.0.0.2", port, request)
        assert "200" in self.asked("127.0.0.2", port, f"GET {urls.pair}")

    def test_no_header_says_where_it_is_from(self, open_server: subprocess.Popen[str], port: int) -> None:
        for header in ("X-Forwarded-For: 127.0.0.1", "Forwarded: for=127.0.0.1", "X-Forwarded-Proto: https"):
            assert "401" in self.asked("127.0.0.2", port, f"GET {urls.cautions}", header)
        socket_asked = (
            "Upgrade: websocket",
            "Sec-WebSocket-Version: 13",
            "Sec-WebSocket-Key: YWFhYWFhYWFhYWFhYWFhYQ==",
        )
        assert "101" not in self.asked("127.0.0.2", port, "GET /", *socket_asked)

    def test_without_being_asked_it_listens_on_its_own_address_alone(
        self, running: subprocess.Popen[str], port: int
    ) -> None:
        with pytest.raises(ConnectionRefusedError):
            self.asked("127.0.0.2", port, f"GET {urls.pair}")

    def test_it_says_where_devices_are_paired(self, open_server: subprocess.Popen[str], port: int) -> None:
        time.sleep(0.5)
        open_server.send_signal(signal.SIGINT)
        out, err = open_server.communicate(timeout=30)
        assert out.splitlines()[0] == f"Dovetally is at http://127.0.0.1:{port}  (stop it with Ctrl+C)"
        assert out.splitlines()[1].endswith(f"Pair them at http://127.0.0.1:{port}/devices")
        assert err == ""

    def test_the_owner_lets_them_in_and_shuts_them_out_while_it_runs(
        self, running: subprocess.Popen[str], port: int
    ) -> None:
        turned(port, "yes")
        until("401", lambda: self.asked("127.0.0.2", port, f"GET {urls.cautions}"))
        assert "200" in self.asked("127.0.0.2", port, f"GET {urls.pair}")
        # not from elsewhere, whatever is sent
        origin = f"Origin: http://127.0.0.2:{port}"
        assert "401" in self.asked("127.0.0.2", port, f"POST {urls.door}", origin, "Content-Length: 0")
        turned(port, "no")
        until("refused", lambda: self.asked("127.0.0.2", port, f"GET {urls.pair}"))
        until("200", lambda: self.asked("127.0.0.1", port, f"GET {urls.devices}"))
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=30)
        assert (running.returncode, err) == (0, "")
        assert len(re.findall("Other devices: ", out)) == 1

    def test_where_another_program_is_in_the_way_the_door_stays_shut_and_the_page_says_why(
        self, running: subprocess.Popen[str], port: int
    ) -> None:
        with socket.socket() as other:
            other.bind(("127.0.0.3", port))
            other.listen()
            turned(port, "yes")
            time.sleep(2)
            until("200", lambda: self.asked("127.0.0.1", port, f"GET {urls.devices}"))
            with urllib.request.urlopen(f"http://127.0.0.1:{port}{urls.devices}", timeout=30) as answer:
                page = answer.read().decode()
        assert "Other devices cannot be let in" in page
        assert f"Port {port} on 0.0.0.0 cannot be used" in page


def turned(port: int, opens: str) -> None:
    """Let other devices in, or shut them out, as the owner's page does."""
    home = f"http://127.0.0.1:{port}"
    asked = urllib.request.Request(f"{home}{urls.door}", urlencode({"open": opens}).encode(), {"Origin": home})
    with urllib.request.urlopen(asked, timeout=30) as answer:
        assert "starts anew" in answer.read().decode()


def until(said: str, ask: Callable[[], str]) -> None:
    """Ask until the answer says this; "refused" is a connection that is."""
    answer = ""
    for _ in range(300):
        try:
            answer = ask()
        except OSError:
            answer = "refused"
        if said in answer:
            return
        time.sleep(0.1)
    raise AssertionError(f"{said!r} was never said, at last {answer!r}")


def made(folder: Path, *more: str) -> tuple[Path, Path]:
    """A certificate of the shop's own and its key, by OpenSSL; ``more`` options, else the key has no password."""
    openssl = shutil.which("openssl")
    if openssl is None:
        pytest.skip("there is no openssl here to make a certificate with")
    folder.mkdir(exist_ok=True)
    certificate, key = folder / "shop.pem", folder / "shop-key.pem"
    named = ["-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost,IP:127.0.0.1,IP:127.0.0.2"]
    new = ["req", "-x509", "-newkey", "rsa:2048", "-days", "2", "-keyout", str(key), "-out", str(certificate)]
    subprocess.run([openssl, *new, *(more or ("-nodes",)), *named], check=True, capture_output=True)
    return certificate, key


class TestCertificate:
    """Checked by a client that trusts this certificate and no other, as a device does that was told to."""

    @pytest.mark.parametrize("in_one_file", [False, True])
    def test_every_connection_is_encrypted(self, tmp_path: Path, port: int, in_one_file: bool) -> None:
        certificate, key = made(tmp_path / "own")
        both = tmp_path / "both.pem"
        both.write_bytes(certificate.read_bytes() + key.read_bytes())
        options = (str(both),) if in_one_file else (str(certificate), "--key", str(key))
        server = start(tmp_path / "data", port, "--certificate", *options)
        try:
            wait_until_it_answers(port)
            trusting = ssl.create_default_context(cafile=str(certificate))
            address = f"https://localhost:{port}{urls.cautions}"
            with urllib.request.urlopen(address, timeout=30, context=trusting) as answer:
                assert answer.status == 200
            with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
                urllib.request.urlopen(address, timeout=30, context=ssl.create_default_context())
            with pytest.raises((urllib.error.URLError, ConnectionError)):
                urllib.request.urlopen(f"http://localhost:{port}{urls.cautions}", timeout=30)
        finally:
            server.kill()
            out, _ = server.communicate()
        assert out.startswith(f"Dovetally is at https://127.0.0.1:{port} ")

    @pytest.mark.skipif(sys.platform != "linux", reason="elsewhere 127.0.0.2 has to be set up first")
    def test_other_devices_pair_over_it_with_a_secret_for_it_alone(self, tmp_path: Path, port: int) -> None:
        certificate, key = made(tmp_path / "own")
        server = start(tmp_path / "data", port, "--network", "--certificate", str(certificate), "--key", str(key))
        try:
            wait_until_it_answers(port)
            trusting = ssl.create_default_context(cafile=str(certificate))
            here, there = f"https://localhost:{port}", f"https://127.0.0.2:{port}"
            jar = urllib.request.HTTPCookieProcessor()
            device = urllib.request.build_opener(urllib.request.HTTPSHandler(context=trusting), jar)
            with pytest.raises(urllib.error.HTTPError, match="401"):
                device.open(there + urls.cautions, timeout=30)
            shown = posted(trusting, here, urls.device_code, {"role": "reads"})
            code = re.search(r"<dt>Code</dt><dd>([^<]+)</dd>", shown)
            assert code, shown[:2000]
            sent = urlencode({"code": code[1], "name": "tablet"}).encode()
            pairing = urllib.request.Request(there + urls.pair, sent, {"Origin": there})
            device.open(pairing, timeout=30).close()
            (cookie,) = jar.cookiejar
            assert (cookie.name, cookie.secure) == ("__Host-dovetally", True)
            with device.open(there + urls.cautions, timeout=30) as answer:
                assert answer.status == 200
        finally:
            server.kill()
            server.communicate()

    def test_what_is_no_certificate_is_said_in_one_line(self, tmp_path: Path, port: int) -> None:
        certificate, key = made(tmp_path / "own")
        _, another = made(tmp_path / "another")
        _, locked = made(tmp_path / "locked", "-passout", "pass:dovetail")
        no_pair = "is no certificate with its own private key"
        for options, why in (
            (("--certificate", str(tmp_path / "none.pem")), "none.pem is not there; name a file in PEM form"),
            (("--certificate", str(certificate)), no_pair),
            (
                ("--certificate", str(certificate), "--key", str(another)),
                "is no certificate with its own private key",
            ),
            (("--certificate", str(certificate), "--key", str(locked)), "is locked by a password"),
            (("--key", str(key)), "--key is for a certificate"),
        ):
            server = start(tmp_path / "data", port, *options)
            out, err = server.communicate(timeout=30)
            assert (server.returncode, out, err.count("\n")) == (2, "", 1)
            assert why in err
            assert not (tmp_path / "data").exists()


def posted(trusting: ssl.SSLContext, origin: str, path: str, sent: dict[str, str]) -> str:
    """What the page at the computer itself answers to a form."""
    request = urllib.request.Request(origin + path, urlencode(sent).encode(), {"Origin": origin})
    with urllib.request.urlopen(request, timeout=30, context=trusting) as answer:
        text: str = answer.read().decode()
    return text
