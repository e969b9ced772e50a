"""The command that starts the page: one line, this machine alone, nothing asked."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from preview import RequestError
from preview.page import serving

ROOT = Path(__file__).parents[2]


@pytest.mark.slow
def test_one_line_and_this_machine_alone(tmp_path):
    """Started in another folder and a fresh home, as a first visitor does, with nothing to answer a question."""
    seen = {name: value for name, value in os.environ.items() if "DISPLAY" not in name}
    known = {**seen, "HOME": str(tmp_path), "PYTHONPATH": str(ROOT), "PYTHONWARNINGS": "ignore"}
    port = serving.free_port()
    with subprocess.Popen(
        [sys.executable, "-m", "preview", "page", "--port", str(port)], cwd=tmp_path, env=known, text=True,
        stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    ) as server:  # fmt: skip
        try:
            line = server.stdout.readline()
            assert re.fullmatch(rf"The page is at http://127\.0\.0\.1:{port}  \(Ctrl\+C stops it\)\n", line)
            with urllib.request.urlopen(f"http://127.0.0.1:{port}", timeout=20) as answer:
                assert answer.status == 200
            # the whole of 127.0.0.0/8 is this machine (RFC 1122, 3.2.1.3): it would answer there if it listened widely
            for other in ("127.0.0.2", *addresses()):
                with socket.socket() as probe:
                    probe.settimeout(5)
                    assert probe.connect_ex((other, port)) != 0, other
        finally:
            server.terminate()
            rest, errors = server.communicate(timeout=30)
    assert rest.strip() in {"", "Stopping..."}
    assert errors == ""


def addresses() -> set[str]:
    """Return this machine's addresses other than its own loop."""
    try:
        found = {each[4][0] for each in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
    except OSError:
        return set()
    return {each for each in found if not each.startswith("127.")}


def test_a_port_that_is_taken_is_refused():
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        assert not serving.is_free(port)
        with pytest.raises(RequestError, match=f"given {port}"):
            serving.serve(port)


@pytest.mark.parametrize("network", [False, True])
def test_other_machines_reach_it_only_where_that_is_asked(network, monkeypatch, capsys):
    started: list[list[str]] = []
    monkeypatch.setattr(serving.cli, "main", lambda arguments, **_: started.append(arguments))
    monkeypatch.setattr(serving, "announce", lambda *given: started.append(list(given)))
    monkeypatch.setattr(serving, "own_address", lambda: "192.0.2.7")
    serving.serve(serving.free_port(), network=network)
    (arguments,) = (each for each in started if each[0] == "run")
    (announced,) = (each for each in started if each[0] != "run")
    listens, shown = ("0.0.0.0", "192.0.2.7") if network else ("127.0.0.1", "127.0.0.1")
    assert [each for each in arguments if "address" in each.lower()] == [
        f"--server.address={listens}",
        f"--browser.serverAddress={shown}",
    ]
    assert announced[1] == shown
    assert ("no password is asked" in capsys.readouterr().out) is network


def test_this_machine_knows_an_address_of_its_own():
    """Whatever it is, a server that listens everywhere answers there."""
    with socket.create_server(("0.0.0.0", 0)) as server:
        assert serving.is_free(server.getsockname()[1]) is False
        with socket.create_connection((serving.own_address(), server.getsockname()[1]), timeout=5):
            pass


@pytest.mark.parametrize(
    ("platform", "display", "opens"),
    [("linux", None, False), ("linux", ":0", True), ("darwin", None, True), ("win32", None, True)],
)
def test_a_browser_opens_where_there_is_a_screen(platform, display, opens, monkeypatch, capsys):
    monkeypatch.setattr(serving.sys, "platform", platform)
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    if display:
        monkeypatch.setenv("DISPLAY", display)
    opened = []
    monkeypatch.setattr(serving.webbrowser, "open", opened.append)
    monkeypatch.setattr(serving, "is_free", lambda _: False)
    serving.announce(4321)
    assert opened == ["http://127.0.0.1:4321"] * opens
    assert capsys.readouterr().out.count("\n") == 1
