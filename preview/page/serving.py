"""Starting the page: for this machine alone, with one line that says where it is, opened where there is a screen."""

from __future__ import annotations

import logging
import os
import socket
import sys
import time
import webbrowser
from pathlib import Path
from threading import Thread

from streamlit.web import cli

from preview import FileError, RequestError
from preview.page.nets import LOG, hide_links

SCRIPT = Path(__file__).parents[2] / "app.py"
HERE = "127.0.0.1"
USUAL_PORT = 8501
QUIET = (
    "--logger.level=error",
    "--logger.hideWelcomeMessage=true",
    "--server.fileWatcherType=none",
    "--client.showErrorDetails=none",
)
PATIENCE = 60.0
"""Seconds in which the page has to answer; a busy machine takes one or two."""


def serve(port: int | None = None) -> None:
    """Serve the page until it is stopped; where no port is given, at the usual one or, if that is taken, at another.

    Raises
    ------
    RequestError
        If the port that was asked for is taken.
    FileError
        If the page's script is not where the project keeps it.
    """
    if not SCRIPT.is_file():
        msg = f"{SCRIPT.name} is not there: install the project with pip install -e, in its own folder"
        raise FileError(msg)
    if port is None:
        port = USUAL_PORT if is_free(USUAL_PORT) else free_port()
    elif not 0 < port < 65_536 or not is_free(port):
        raise RequestError.at("port", f"one from 1 to 65535 that nothing else listens at is needed; given {port}")
    Thread(target=announce, args=(port,), daemon=True).start()
    at = (f"--server.address={HERE}", f"--server.port={port}", "--server.headless=true")
    hide_links()
    LOG.addHandler(logging.StreamHandler())  # the command line keeps all others off the terminal
    cli.main(["run", str(SCRIPT), *at, "--browser.gatherUsageStats=false", *QUIET], standalone_mode=False)


def announce(port: int) -> None:
    """Once the page answers, say where it is, and open it where there is a screen."""
    url, end = f"http://{HERE}:{port}", time.monotonic() + PATIENCE
    while is_free(port):
        if time.monotonic() > end:
            return
        time.sleep(0.05)
    print(f"The page is at {url}  (Ctrl+C stops it)", flush=True)  # noqa: T201
    if has_screen():
        webbrowser.open(url)


def is_free(port: int) -> bool:
    """Return whether nothing listens at ``port`` of this machine."""
    with socket.socket() as probe:
        return probe.connect_ex((HERE, port)) != 0


def free_port() -> int:
    """Return a port at which nothing listens."""
    with socket.socket() as probe:
        probe.bind((HERE, 0))
        port: int = probe.getsockname()[1]
        return port


def has_screen() -> bool:
    """Return whether a browser can be seen: always on a desktop system, elsewhere where there is a display."""
    return sys.platform in {"darwin", "win32"} or any(map(os.environ.get, ("DISPLAY", "WAYLAND_DISPLAY")))
