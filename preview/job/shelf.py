"""A visitor's named jobs, each with its history: every change is kept at once, and nothing that was kept is changed.

In the visitor's folder::

    open                            which job was open last
    jobs/JOB/name                   what the job is called
    jobs/JOB/now                    which state holds, and when that changed
    jobs/JOB/picture                a small picture of it, where one was given
    jobs/JOB/states/STATE.toml      a job file; its name is its id, that of the state before it, and its files' key
    jobs/JOB/files/KEY/             the files that states name, by a key made of their names and what is in them
    bin/JOB/                        jobs that were taken away

A file is written whole or not at all, and states are only ever added, under names that two tabs cannot both take. So
whoever writes last says which state holds, and the other's is still among the `past`.
"""

from __future__ import annotations

import hashlib
import re
import secrets
import shutil
import time
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from threading import RLock

from preview.base.errors import FileError, PreviewError
from preview.base.files import put_into, read_text
from preview.job.file import LARGEST_FILE, dump_job, files_of, load_job, parse_job
from preview.job.job import Job
from preview.job.room import make_room

MOST_STATES = 60
"""States that a job's history holds; the oldest go first."""

MOST_BINNED = 20
"""Jobs that the bin holds; the ones taken away first go first."""

LONGEST_NAME = 80
UNNAMED = "Blade"

HELD_BACK = 3600.0
"""Seconds for which files that no state names stay: another tab may be about to name them."""

_ID = re.compile(r"[0-9a-f]{12}")
_LOCK = RLock()


@dataclass(frozen=True)
class Kept:
    """A job on the shelf or in the bin: its id, its name, when it changed last (UTC), and its picture, if any."""

    id: str
    name: str
    changed: datetime
    picture: bytes | None


@dataclass(frozen=True)
class State:
    """What a job was at one time: its id, that of the state before it, the key of its files, and where it lies."""

    id: str
    before: str
    files: str
    path: Path

    @property
    def kept(self) -> datetime:
        """When it was kept (UTC)."""
        return datetime.fromtimestamp(self.path.stat().st_mtime, UTC)


class Shelf:
    """A visitor's jobs, in a folder of their own.

    Demos are looked at without it: a job comes onto the shelf when it is first kept.
    Work of the earlier layout, one ``job.toml`` in the folder, becomes the first job.

    Raises
    ------
    FileError
        By every method: if the job named is not there, or something cannot be read or written.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        with _LOCK:
            if (folder / "job.toml").exists() and not (folder / "jobs").exists():
                try:
                    self.keep(load_job(folder / "job.toml"))
                except PreviewError:
                    return  # what cannot be opened stays where it is

    def jobs(self) -> tuple[Kept, ...]:
        """Return the jobs, the one changed last first."""
        return self._listed("jobs")

    def binned(self) -> tuple[Kept, ...]:
        """Return the jobs in the bin, the one changed last first."""
        return self._listed("bin")

    def _listed(self, where: str) -> tuple[Kept, ...]:
        places = [path for path in self.folder.glob(f"{where}/*") if _ID.fullmatch(path.name) and _states(path)]
        return tuple(sorted(map(_kept, places), key=lambda each: each.changed, reverse=True))

    @property
    def opened(self) -> str | None:
        """Id of the job that was open last, if it is still on the shelf."""
        id = _word(self.folder / "open")
        return id if _ID.fullmatch(id) and (self.folder / "jobs" / id).is_dir() else None

    def open(self, id: str) -> Job:
        """Return a job as it is now, and note that it is the one that is open."""
        job = self.read(id)
        put_into(self.folder, {"open": id.encode()})
        return job

    def read(self, id: str) -> Job:
        """Return a job as it is now; the one that is open stays so."""
        place = self._place(id)
        return _read(place, _now(place))

    def keep(self, job: Job, id: str | None = None, *, name: str = "") -> str:
        """Keep ``job`` as what the job called ``id`` is from now on, and return its id; as a new job without one.

        A job that is like the one that holds already adds nothing. One that was taken away meanwhile is brought back.
        A new job is called ``name``, or by its title.
        """
        with _LOCK:
            if id is None:
                id = secrets.token_hex(6)
                place, called = self.folder / "jobs" / id, self._free(name or job.title)
                _add(place, job)
                put_into(place, {"name": called.encode()})
            else:
                if (self.folder / "bin" / id).is_dir():
                    self.bring_back(id)
                place = self._place(id)
                _add(place, job)
            put_into(self.folder, {"open": id.encode()})
            self.folder.touch()  # so that this visitor's work is not the one left alone longest
            return id

    def copy(self, id: str, name: str = "") -> str:
        """Return the id of a new job that starts from what another is now."""
        place = self._place(id)
        with _LOCK:
            fresh = self.keep(_read(place, _now(place)), name=name or f"{_name(place)}, copy")
            picture = _content(place / "picture")
            if picture:
                self.set_picture(fresh, picture)
            return fresh

    def rename(self, id: str, name: str) -> None:
        """Call a job ``name``; a number is added where another is called so."""
        with _LOCK:
            put_into(self._place(id), {"name": self._free(name, id).encode()})

    def set_picture(self, id: str, picture: bytes) -> None:
        """Give a job its small picture."""
        put_into(self._place(id), {"picture": picture})

    def delete(self, id: str) -> None:
        """Take a job off the shelf into the bin."""
        with _LOCK:
            place = self._move(id, "jobs", "bin")
            place.touch()
            binned = sorted(place.parent.iterdir(), key=lambda path: path.stat().st_mtime)
            for old in binned[:-MOST_BINNED]:
                shutil.rmtree(old, ignore_errors=True)

    def bring_back(self, id: str) -> None:
        """Put a job from the bin back onto the shelf."""
        with _LOCK:
            self._move(id, "bin", "jobs")

    def past(self, id: str) -> tuple[State, ...]:
        """Return all states of a job that are kept, the oldest first."""
        return tuple(_states(self._place(id)).values())

    def go_to(self, id: str, state: State) -> Job:
        """Let a state of the ``past`` be what a job is now, and return it."""
        place = self._place(id)
        job = _read(place, state)
        _hold(place, state.id)
        self.folder.touch()
        return job

    def before(self, id: str) -> State | None:
        """Return the state that undoing the last change leads to, if there is one: see `go_to`."""
        place = self._place(id)
        return _states(place).get(_now(place).before)

    def after(self, id: str) -> State | None:
        """Return the state that doing again what was undone leads to, if there is one: see `go_to`."""
        place = self._place(id)
        now = _now(place).id
        return next((state for state in reversed(_states(place).values()) if state.before == now), None)

    def _place(self, id: str, where: str = "jobs") -> Path:
        place = self.folder / where / id
        if not _ID.fullmatch(id) or not place.is_dir():
            msg = "this work is no longer kept here; it may have been deleted in another window"
            raise FileError(msg)
        return place

    def _move(self, id: str, source: str, target: str) -> Path:
        place = self._place(id, source)
        try:
            (self.folder / target).mkdir(exist_ok=True)
            return place.rename(self.folder / target / id)
        except OSError as error:
            msg = f"the work cannot be moved ({error.strerror or error})"
            raise FileError(msg) from None

    def _free(self, name: str, of: str = "") -> str:
        """Return ``name`` in one line, with a number where another job is called so."""
        name = " ".join(name.split())[:LONGEST_NAME] or UNNAMED
        taken = {_name(path) for path in self.folder.glob("jobs/*") if path.name != of}
        numbered = (f"{name} {number}" for number in range(2, len(taken) + 3))
        return name if name not in taken else next(each for each in numbered if each not in taken)


def _kept(place: Path) -> Kept:
    _, _, when = _word(place / "now").partition(" ")
    try:
        changed = datetime.fromisoformat(when)
    except ValueError:
        changed = _now(place).kept
    return Kept(place.name, _name(place), changed, _content(place / "picture") or None)


def _content(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError:
        return b""  # never written, or moved by another tab just now


def _word(path: Path) -> str:
    return _content(path).decode("utf-8", errors="replace")


def _name(place: Path) -> str:
    return _word(place / "name") or UNNAMED


def _states(place: Path) -> dict[str, State]:
    """Return a job's states by their ids, the oldest first."""
    found = {}
    for path in sorted(place.glob("states/*.toml")):
        id, before, files = path.stem.split("-")
        found[id] = State(id, before, files, path)
    return found


def _now(place: Path) -> State:
    """Return the state that holds; the last one where that is not said."""
    states = _states(place)
    if not states:
        msg = "nothing of this work was kept"
        raise FileError(msg)
    id, _, _ = _word(place / "now").partition(" ")
    return states.get(id) or next(reversed(states.values()))


def _hold(place: Path, id: str) -> None:
    put_into(place, {"now": f"{id} {datetime.now(UTC).isoformat()}".encode()})


def _read(place: Path, state: State) -> Job:
    return parse_job(read_text(state.path, LARGEST_FILE, "a job file"), place / "files" / state.files)


def _add(place: Path, job: Job) -> None:
    """Add ``job`` as the state that holds, unless it is so already; the oldest states go where there are too many."""
    files = files_of(job)
    key, text = _key(files), dump_job(job)
    folder = place / "files" / key
    if not folder.is_dir():
        make_room(place.parents[1], sum(map(len, files.values())) + len(text))
    folder.mkdir(parents=True, exist_ok=True)
    folder.touch()
    put_into(folder, files)
    states = _states(place)
    before = _now(place) if states else None
    if before and before.files == key and before.path.read_text("utf-8") == text:
        return
    number = 1 + max((int(id[:8], 16) for id in states), default=0)
    id = f"{number:08x}{secrets.token_hex(2)}"  # in order of time, and unlike another tab's
    put_into(place / "states", {f"{id}-{before.id if before else ''}-{key}.toml": text.encode()})
    _hold(place, id)
    _forget_oldest(place)


def _key(files: Mapping[str, bytes]) -> str:
    """Return a name for files that no others share."""
    whole = hashlib.sha256()
    for name in sorted(files):
        whole.update(repr((name, len(files[name]))).encode() + files[name])
    return whole.hexdigest()[:24]


def _forget_oldest(place: Path) -> None:
    states = list(_states(place).values())
    for state in states[:-MOST_STATES]:
        state.path.unlink(missing_ok=True)
    named = {state.files for state in states[-MOST_STATES:]}
    for path in place.glob("files/*"):
        if path.name not in named and path.stat().st_mtime < time.time() - HELD_BACK:
            shutil.rmtree(path, ignore_errors=True)
