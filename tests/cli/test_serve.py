"""Sharing the workshop: one clear message for each mistake, accounts made by a command, and a real encrypted line."""

from __future__ import annotations

import os
import shutil
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from longpoint.cli import main

HERE = ("--shared", "--at", "127.0.0.1")
RUN = "from longpoint.cli import main; main()"


def run(*words: str) -> int:
    """A command; what it returns to a shell."""
    with pytest.MonkeyPatch.context() as patched, pytest.raises(SystemExit) as ended:
        patched.setattr(sys, "argv", ["longpoint", *words])
        patched.setattr("uvicorn.run", lambda *_, **__: pytest.fail("it serves"))
        main()
    return int(ended.value.code or 0)


@pytest.fixture
def port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@pytest.fixture(scope="session")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A certificate of one's own, made as the pages for the reader say."""
    if shutil.which("openssl") is None:
        pytest.skip("openssl is not installed")
    folder = tmp_path_factory.mktemp("own")
    made, key = folder / "workshop.pem", folder / "workshop-key.pem"
    subprocess.run(
        [
            *(
                "openssl",
                "req",
                "-x509",
                "-newkey",
                "ec",
                "-pkeyopt",
                "ec_paramgen_curve:prime256v1",
                "-nodes",
            ),
            *("-days", "365", "-keyout", str(key), "-out", str(made), "-subj", "/CN=workshop"),
            *("-addext", "subjectAltName=IP:127.0.0.1,DNS:localhost"),
        ],
        check=True,
        capture_output=True,
    )
    return made, key


@pytest.fixture
def password(tmp_path: Path) -> Path:
    path = tmp_path / "password.txt"
    path.write_text("five wet brushes\n")
    return path


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--at", "0.0.0.0"), "nobody would have to sign in. Say --shared"),
        (("--at", "192.0.2.7"), "nobody would have to sign in. Say --shared"),
        (("--at", "workshop"), "workshop is no address. Write one as 192.168.1.20"),
        (("--unencrypted",), "belong to pages that are shared. Say --shared"),
        (("--host", "workshop.local"), "belong to pages that are shared. Say --shared"),
        (HERE, "passwords would go over the network for anybody to read. Say --certificate"),
        ((*HERE, "--certificate", "x.pem"), "go together. Say --key too"),
        ((*HERE, "--key", "x.pem"), "go together. Say --certificate too"),
        ((*HERE, "--certificate", "gone.pem", "--key", "gone.pem"), "gone.pem cannot be read"),
        ((*HERE, "--certificate", __file__, "--key", __file__), "are no certificate and its key"),
        (("--shared", "--unencrypted", "--at", "0.0.0.0"), "Say which names or addresses it is"),
        (("--shared", "--unencrypted", "--at", "192.0.2.7"), "192.0.2.7 is no address of this machine"),
        ((*HERE, "--unencrypted", "--host", "http://x/"), "is no name of a machine"),
        ((*HERE, "--unencrypted"), "Make the first one: longpoint account add NAME --role own"),
    ],
)  # fmt: skip
def test_each_mistake_gets_its_message(
    words: tuple[str, ...], said: str, port: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("serve", "--no-show", "--port", str(port), "--data", str(tmp_path / "data"), *words) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert said in told and "Traceback" not in told


def test_mistakes_are_told_all_together(
    port: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ("--shared", "--at", "0.0.0.0", "--certificate", "x.pem", "--unencrypted", "--host", "a b")
    assert run("serve", "--no-show", "--port", str(port), "--data", str(tmp_path), *words) == 2
    told = " ".join(capsys.readouterr().err.split())
    for one in ("every address", "go together", "leaves it open", "is no name"):
        assert one in told


def test_a_port_that_is_taken_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        taken = str(other.getsockname()[1])
        assert run("serve", "--no-show", "--port", taken, "--data", str(tmp_path)) == 2
    assert f"another program listens on port {taken}" in capsys.readouterr().err


def test_accounts_are_made_changed_and_closed_by_commands(
    tmp_path: Path, password: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = ("--data", str(tmp_path / "data"))
    said = ("--password-file", str(password))
    assert run("account", "add", "Mara", "--role", "own", *said, *data) == 0
    assert run("account", "add", "Ben", *said, *data) == 0
    assert run("account", "add", "Ben", *said, *data) == 2
    assert "Ben has an account already" in capsys.readouterr().err
    assert run("account", "add", "Eve", "--role", "king", *said, *data) == 2
    assert "king is no role" in capsys.readouterr().err
    assert run("account", "change", "Ben", *data) == 2
    assert run("account", "change", "Ben", "--role", "plan", *data) == 0
    assert run("account", "close", "Mara", *data) == 2
    assert "last who keeps accounts" in capsys.readouterr().err
    assert run("account", "close", "Ben", *data) == 0
    capsys.readouterr()
    assert run("account", "list", *data) == 0
    assert capsys.readouterr().out == "Mara  own\n"
    password.write_text("short\n")
    assert run("account", "add", "Eve", *said, *data) == 2
    assert "Take 8 to 1000" in capsys.readouterr().err


class Running:
    """A server of the command, on a port."""

    def __init__(self, url: str, process: subprocess.Popen[str]) -> None:
        self.url, self.process = url, process


@pytest.fixture
def shared(tmp_path: Path, port: int, certificate: tuple[Path, Path], password: Path) -> Iterator[Running]:
    data = str(tmp_path / "data")
    assert (
        run("account", "add", "Mara", "--role", "own", "--password-file", str(password), "--data", data) == 0
    )
    words = ["serve", "--shared", "--at", "0.0.0.0", "--host", "localhost", "--port", str(port), "--no-show",
             "--certificate", str(certificate[0]), "--key", str(certificate[1]), "--data", data]  # fmt: skip
    command = [sys.executable, "-c", RUN, *words]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdout=pipe, stderr=pipe, text=True, env=os.environ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == f"https://localhost:{port}/\n"
        yield Running(f"https://localhost:{port}", process)
        process.terminate()


def test_a_browser_on_another_address_signs_in_over_an_encrypted_line(
    shared: Running, certificate: tuple[Path, Path]
) -> None:
    trusted = ssl.create_default_context(cafile=str(certificate[0]))
    with httpx.Client(base_url=shared.url, verify=trusted, timeout=30) as browser:
        for _ in range(300):
            try:
                key = browser.get("/api/key").json()["key"]
                break
            except httpx.ConnectError:
                time.sleep(0.1)
        form = {"name": "Mara", "password": "five wet brushes"}
        answer = browser.post("/sign-in", data=form, headers={"x-longpoint-key": key})
        assert answer.status_code == 303
        assert ">Mara</a>" in browser.get("/").text
    # not by another name, and not without encryption
    port = shared.url.rpartition(":")[2]
    with httpx.Client(verify=trusted, timeout=30) as other:
        assert other.get(f"https://127.0.0.1:{port}/").status_code == 421
        with pytest.raises(httpx.HTTPError):
            other.get(f"http://127.0.0.1:{port}/")
    assert shared.process.stderr is not None
    shared.process.terminate()
    assert "not for the internet" in shared.process.stderr.read()
