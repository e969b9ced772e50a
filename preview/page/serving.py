"""Starting the page, with one line that says where it is, opened where there is a screen.

It is for this machine alone, unless it is asked to be open to the network.
"""

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
EVERYWHERE = "0.0.0.0"
WARNING = (
    "Open to the network: whoever reaches this machine can use the page and load it with work. Nothing is encrypted "
    "and no password is asked; whoever has the link of somebody's work can open and change it. Only for a workshop's "
    "own network that you trust, never the open internet."
)
USUAL_PORT = 8501
QUIET = (
    "--logger.level=error",
    "--logger.hideWelcomeMessage=true",
    "--server.fileWatcherType=none",
    "--client.showErrorDetails=none",
)
PATIENCE = 60.0
"""Seconds in which the page has to answer; a busy machine takes one or two."""
OWN_LOG = "ETCH_PREVIEW_LOG"
"""Names, in the environment, the folder of the blade log that the page keeps; see `serve`."""


def serve(port: int | None = None, log: Path | None = None, *, network: bool = False) -> None:
    """Serve the page until it is stopped; where no port is given, at the usual one or, if that is taken, at another.

    The blade log is kept in the folder ``log``, or where none is given with each visitor's work. With ``network`` other
    machines reach the page too, and a warning says so.

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
    if log is not None:
        os.environ[OWN_LOG] = str(log.absolute())
    shown = own_address() if network else HERE
    if network:
        print(WARNING, flush=True)  # noqa: T201
    Thread(target=announce, args=(port, shown), daemon=True).start()
    where = (f"--server.address={EVERYWHERE if network else HERE}", f"--browser.serverAddress={shown}")
    at = (*where, f"--server.port={port}", "--server.headless=true")
    hide_links()
    LOG.addHandler(logging.StreamHandler())  # the command line keeps all others off the terminal
    cli.main(["run", str(SCRIPT), *at, "--browser.gatherUsageStats=false", *QUIET], standalone_mode=False)


def announce(port: int, address: str = HERE) -> None:
    """Once the page answers, say where it is, and open it where there is a screen."""
    url, end = f"http://{address}:{port}", time.monotonic() + PATIENCE
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


def own_address() -> str:
    """Return the address by which others reach this machine, as far as it knows; its loop's where there is none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address kept for examples (RFC 5737); nothing is sent
        except OSError:
            return HERE
        address: str = probe.getsockname()[0]
        return address


def has_screen() -> bool:
    """Return whether a browser can be seen: always on a desktop system, elsewhere where there is a display."""
    return sys.platform in {"darwin", "win32"} or any(map(os.environ.get, ("DISPLAY", "WAYLAND_DISPLAY")))
