"""Files are written whole or not at all, and never over a user's file unasked."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable
from pathlib import Path

from preview.base.errors import FileError


def write_whole(path: Path, content: bytes, *, force: bool = False) -> None:
    """Write ``content`` to ``path`` through a file beside it that then takes its place.

    Raises
    ------
    FileError
        If ``path`` exists and ``force`` is not given, or it cannot be written.
    """
    write_all({path: content}, force=force)


def check_writable(paths: Iterable[Path], *, force: bool = False) -> None:
    """Raise `FileError` where a path's folder does not exist, or a path exists and ``force`` is not given."""
    paths = tuple(paths)
    for folder in {path.parent for path in paths}:
        if not folder.is_dir():
            msg = f"{folder}: there is no such folder; make it first"
            raise FileError(msg)
    existing = [path for path in paths if path.exists()]
    if existing and not force:
        names = ", ".join(str(path) for path in existing)
        msg = f"{names}: exists already and is kept; use --force (in Python, force=True) to replace it"
        raise FileError(msg)


def write_all(files: dict[Path, bytes], *, force: bool = False) -> None:
    """Write several files: all of them, or none where one exists already or cannot be written."""
    check_writable(files, force=force)
    beside: list[tuple[str, Path]] = []
    path = Path()
    try:
        for path, content in files.items():
            with tempfile.NamedTemporaryFile(dir=path.parent, prefix=f".{path.name}.", delete=False) as part:
                beside.append((part.name, path))
                part.write(content)
            Path(part.name).chmod(0o644)
        for name, path in beside:
            os.replace(name, path)  # noqa: PTH105 - atomic, and clearer so
    except OSError as error:
        for name, _ in beside:
            Path(name).unlink(missing_ok=True)
        msg = f"{path}: cannot be written ({error.strerror or error})"
        raise FileError(msg) from None
