"""A file is written beside and then renamed: whole or not at all, whatever happens in between."""

from __future__ import annotations

import os
import stat
import tempfile
from pathlib import Path


def write_whole(path: Path, data: bytes, mode: int | None = None) -> Path:
    """Write a whole file or nothing; its folder must be there. mode: its rights; None keeps those of the file that is there (a
    new file: 0o644). Raises OSError when it can't."""
    if mode is None:
        mode = stat.S_IMODE(path.stat().st_mode) if path.exists() else 0o644
    handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(beside, mode)
        os.replace(beside, path)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise
    return path


def write_new(path: Path, data: bytes) -> Path:
    """Write a whole file under a name that nothing has. Raises FileExistsError where it is taken, else OSError when it can't."""
    beside = write_whole(path.with_name(f".{path.name}.new"), data, 0o644)
    try:
        put_new(beside, path)
    finally:
        beside.unlink(missing_ok=True)
    return path


def put_new(beside: Path, path: Path) -> None:
    """Give a whole file its name, never the name of one that is there. Raises FileExistsError, else OSError when it can't."""
    try:
        os.link(beside, path)
    except FileExistsError:
        raise
    except OSError:  # a disk that knows no links
        if path.exists():
            raise FileExistsError(path) from None
        os.rename(beside, path)
        return
    beside.unlink()
