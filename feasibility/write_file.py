"""Write a file whole or not at all."""

from __future__ import annotations

import os
import secrets
import stat
from contextlib import suppress
from pathlib import Path


class FileNotWritten(OSError):
    """A file could not be written; what stood there before is untouched."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(f"{path} was not written: {reason}")
        self.path = path
        self.reason = reason


def write_atomically(path: Path, data: bytes) -> None:
    """Write ``data`` to ``path`` so that a reader sees the old file or the new one, never a part.

    A new file gets the permissions the umask gives, an existing one keeps its own; a symbolic link
    is followed. Raises FileNotWritten, after which the old file is as it was and no temporary
    file is left.
    """
    try:
        target = path.resolve()
        mode = _mode_to_keep(target)
        # Not derived from the target's name, which may already be as long as a name can be.
        temporary = target.parent / f".{secrets.token_hex(8)}.tmp"
        try:
            _write_through(temporary, data, mode)
            temporary.replace(target)
        except BaseException:
            with suppress(OSError):
                temporary.unlink()
            raise
    except (OSError, RuntimeError, ValueError) as error:
        raise FileNotWritten(path, _reason(error)) from error


def _mode_to_keep(target: Path) -> int | None:
    try:
        mode = target.stat().st_mode
    except FileNotFoundError:
        return None
    if stat.S_ISDIR(mode):
        message = "it is a folder"
        raise ValueError(message)
    if not stat.S_ISREG(mode):
        message = "it is not an ordinary file"
        raise ValueError(message)
    if not os.access(target, os.W_OK):
        message = "the existing file is write-protected"
        raise ValueError(message)
    return stat.S_IMODE(mode)


def _write_through(temporary: Path, data: bytes, mode: int | None) -> None:
    with temporary.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    if mode is not None:
        temporary.chmod(mode)


def _reason(error: Exception) -> str:
    if isinstance(error, OSError) and error.strerror:
        return error.strerror
    return str(error)
