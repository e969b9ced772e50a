"""One command run in a process of its own, with limits, and how it ended judged."""

from __future__ import annotations

import faulthandler
import os
import re
import resource
import shutil
import signal
import sys
import traceback
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

SECONDS = 60
"""Processor time that a command may take; the longest good one takes some 15 s."""

MEMORY = 2_500_000_000
"""Bytes that it may use over what the program itself is."""

WALL = 600
"""Seconds after which it is taken to wait for what never comes."""

LONGEST_LINE = 1100
MOST_LINES = 60

NOISE = re.compile(r"Traceback|Warning:|^\w+Error:|^\s+at |<[a-z]+ object", re.MULTILINE)
STRANGE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\ud800-\udfff]")
USAGE = re.compile(r"\Ausage: .*?(?=^etch-preview)", re.DOTALL | re.MULTILINE)


@dataclass(frozen=True)
class Ending:
    """How a command ended: its exit code (None where it was stopped), what it said, and what is wrong with that."""

    code: int | None
    said: str
    faults: tuple[str, ...]
    seconds: float
    memory: int


def tree(folder: Path) -> dict[str, bytes | None]:
    """Return all that lies in a folder: the files' contents, None for folders."""
    return {
        os.fsencode(path.relative_to(folder)).decode("latin-1"): path.read_bytes() if path.is_file() else None
        for path in folder.rglob("*")
    }


def run(arguments: list[str], folder: Path, main: Callable[[list[str]], int]) -> Ending:
    """Run a command with ``folder`` as the working one, in a fork of this process, and judge how it ended."""
    before = tree(folder)
    logs = folder.with_name(folder.name + ".said")
    logs.mkdir()
    child = os.fork()
    if child == 0:
        os._exit(_within(arguments, folder, logs, main))
    code, used = _waited(child)
    said = {name: (logs / name).read_bytes().decode("utf-8", "surrogateescape") for name in ("out", "err", "raised")}
    shutil.rmtree(logs)
    faults = list(_faults(code, said, before, tree(folder), arguments))
    seconds = used.ru_utime + used.ru_stime
    return Ending(code, said["err"] + said["raised"], tuple(faults), seconds, used.ru_maxrss * 1024)


def _within(arguments: list[str], folder: Path, logs: Path, main: Callable[[list[str]], int]) -> int:
    """Be the command: 70 where something is raised that no command may raise."""
    raised = (logs / "raised").open("w", encoding="utf-8", errors="surrogateescape")
    for number, name in ((1, "out"), (2, "err")):
        os.dup2(os.open(logs / name, os.O_WRONLY | os.O_CREAT), number)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    # as a terminal of today has it
    for name in ("stdout", "stderr"):
        getattr(sys, name).reconfigure(encoding="utf-8", errors="backslashreplace" if name == "stderr" else "strict")
    os.chdir(folder)
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS + 5))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    size = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (size + MEMORY,) * 2)
    faulthandler.enable(raised)
    faulthandler.register(signal.SIGXCPU, raised, chain=True)
    # the program's own sums are not to overflow; what libraries warn of is the program's to keep quiet
    sys.warnoptions.append("ignore")
    warnings.simplefilter("ignore")
    warnings.filterwarnings("error", category=RuntimeWarning, module="preview")
    try:
        return main(arguments)
    except SystemExit as error:
        return error.code if isinstance(error.code, int) else 0 if error.code is None else 70
    except BaseException:
        traceback.print_exc(file=raised)
        return 70
    finally:
        raised.flush()
        sys.stdout.flush()
        sys.stderr.flush()


def _waited(child: int) -> tuple[int | None, resource.struct_rusage]:
    signal.signal(signal.SIGALRM, lambda *_: os.kill(child, signal.SIGKILL))
    signal.alarm(WALL)
    _, status, used = os.wait4(child, 0)
    signal.alarm(0)
    return (os.WEXITSTATUS(status) if os.WIFEXITED(status) else None), used


def _faults(
    code: int | None,
    said: dict[str, str],
    before: dict[str, bytes | None],
    after: dict[str, bytes | None],
    arguments: list[str],
) -> list[str]:
    faults = []
    raised, err = said["raised"], USAGE.sub("", said["err"])
    if code is None:
        faults.append("hang" if "SIGXCPU" in raised or not raised else "crash")
    elif code == 70:
        last = next((line for line in reversed(raised.splitlines()) if line.strip()), "")
        faults.append("memory" if "MemoryError" in raised or "bad_alloc" in raised else f"traceback: {last[:160]}")
    elif code not in {0, 2}:
        faults.append(f"exit code {code}")
    if code in {0, 2}:
        lines = err.splitlines()
        if code == 2 and not lines:
            faults.append("no word why")
        if NOISE.search(err):
            faults.append("noise on standard error")
        if STRANGE.search(err):
            faults.append("control characters in a message")
        if any(len(line) > LONGEST_LINE for line in lines) or len(lines) > MOST_LINES:
            faults.append("message too long")
        if "MemoryError" in err or "allocate" in err:
            faults.append("memory, told as something else")
        if code == 0 and lines and not err.startswith("off the metal"):
            faults.append("noise on standard error")
    lost = [name for name, content in before.items() if after.get(name, b"lost") != content]
    if lost and not (code == 0 and "--force" in arguments):
        faults.append(f"files lost or changed: {lost[:3]}")
    new = [name for name in after if name not in before]
    refused = any(name.endswith("/match.txt") for name in new)  # a photograph that is not taken: why is written down
    if code != 0 and new and not refused:
        faults.append(f"part of a set left: {new[:3]}")
    if any(Path(name).name.startswith(".") for name in new):
        faults.append(f"temporary files left: {new[:3]}")
    return faults
