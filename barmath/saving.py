"""Saving a file whole or not at all: never half written, and never over an existing one unless it is asked for."""

from __future__ import annotations

import errno
import os
import re
import stat
import time
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from barmath.refusal import BendError, quoted

PART = ".part"
"""Ending of the file that is written first; it is beside the one wanted, and its name begins with a dot."""

STALE_SECONDS = 3600.0
"""Age at which such a file can only be what a killed writer left behind."""

WAIT_SECONDS = 20.0
"""How long one who asks for a file waits for another one to finish."""

LONGEST_NAME = 80
"""Bytes of a file name made from words, without its ending."""

_OTHER_PLACE, _OTHER_NAME, _ROOM = "Choose another place", "Choose another name", "Make room on the disk"
_NO_WRITING = (_OTHER_PLACE, "the folder {folder} may not be written to")
_FAULTS = {
    errno.ENOENT: ("Make the folder first", "there is no folder {folder}"),
    errno.ENOTDIR: (_OTHER_PLACE, "{folder} is not a folder"),
    errno.EACCES: _NO_WRITING,
    errno.EPERM: _NO_WRITING,
    errno.EROFS: _NO_WRITING,
    errno.ENOSPC: (_ROOM, "the disk is full"),
    errno.EDQUOT: (_ROOM, "the disk is full"),
    errno.EFBIG: (_OTHER_PLACE, "the file is larger than the disk takes"),
    errno.ENAMETOOLONG: ("Choose a shorter name", "the name is too long"),
}
"""What to do, and why, for each fault of the system."""

_DENIED, _HELD = 5, (32, 33)
"""Windows' ERROR_ACCESS_DENIED; ERROR_SHARING_VIOLATION and ERROR_LOCK_VIOLATION."""

_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\.|$)", re.IGNORECASE)


def save_bytes(path: str | Path, data: bytes, *, overwrite: bool = False) -> Path:
    """Write `data` to `path`, whole or not at all.

    The bytes go to a file beside it and on to the disk; only then does that file take the name wanted, in one
    step. A reader sees the old file or the new one; two savers at once cannot both win.

    Parameters
    ----------
    path : str or Path
        In a folder that exists.
    data : bytes
    overwrite : bool
        Whether a file of that name may be replaced. Its permissions are kept.

    Returns
    -------
    Path
        Where the file is now, links followed.

    Raises
    ------
    BendError
        Where the file exists and `overwrite` is False, or it cannot be written; what was there is not changed.
    """
    target = real_path(path)
    try:
        _refuse_taken(target, overwrite)
        _sweep(target)
        part = target.with_name(f".{target.name}.{os.urandom(8).hex()}{PART}")
        try:
            _write(part, data)
            _take_name(part, target, overwrite)
        finally:
            with suppress(FileNotFoundError):
                part.unlink()
        _settle(target.parent)
    except FileExistsError:
        raise _taken(target) from None
    except OSError as fault:
        if _is_held(fault, target):
            to_do, why = "Close it there, then write it again", "it is open in another program, such as a viewer"
        else:
            unknown = f"the system says: {(fault.strerror or 'unknown fault').lower()}"
            to_do, why = _FAULTS.get(fault.errno or 0, (_OTHER_PLACE, unknown))
        raise _not_saved(target, to_do, why) from None
    return target


@contextmanager
def alone(path: str | Path) -> Iterator[None]:
    """While it is open, nobody else who asks has the file: for reading it, changing what was read, and saving it.

    The others wait. The lock is SQLite's own on an empty file beside. So the system gives it back when a writer is
    killed, on any system. Raises BendError where it cannot be had.
    """
    import sqlite3  # here, because somebody who only works out a bar needs none

    target = real_path(path)
    lock = target.with_name(f".{target.name}.lock")
    try:
        holder = sqlite3.connect(lock, timeout=WAIT_SECONDS, isolation_level=None)
    except sqlite3.Error:
        raise _not_saved(target, *_NO_WRITING) from None
    try:
        holder.execute("begin exclusive")
        yield
    except sqlite3.Error:
        raise BendError(f"Try again: {target.name} is in use by somebody else, and nothing was saved") from None
    finally:
        holder.close()


def file_name(words: str, ending: str) -> str:
    """A file name for what a user typed, harmless on any system: `order 7` and `.pdf` give `order 7.pdf`.

    Letters, digits, spaces and `- _ . , + ( )` are kept; anything else becomes `-`. Longer names are cut.
    """
    text = re.sub(r"\s+", " ", unicodedata.normalize("NFC", words))
    kept = re.sub(r"[^\w \-.,+()]+", "-", text).encode()[:LONGEST_NAME].decode(errors="ignore").strip(" .-")
    if not kept or _RESERVED.match(kept):
        kept = f"sheet {kept}".rstrip()
    return kept + ending


def _is_held(fault: OSError, target: Path) -> bool:
    # Windows lets nobody replace a file that a program has open, and says so by numbers of its own
    number = getattr(fault, "winerror", None)
    return number in _HELD or (number == _DENIED and target.is_file())


def real_path(path: str | Path) -> Path:
    """The absolute path of a file, links followed; raises BendError where it is no path, or links that never end."""
    try:
        found = Path(os.path.realpath(path))
    except (ValueError, TypeError):
        raise BendError(
            f"file name must be a path without null bytes, got {quoted(path)}: choose another name"
        ) from None
    if any(os.path.islink(one) for one in (found, *found.parents)):  # followed as far as it goes, and a link still
        raise BendError(
            f"{found.name} must lead to a file or a folder, got a link that leads back to itself: choose another name"
        )
    return found


def make_folder(path: str | Path) -> Path:
    """The absolute path of a folder, made if it is missing, with those around it.

    Raises BendError where it cannot be made.
    """
    folder = real_path(path)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        words = (fault.strerror or "unknown fault").lower()
        raise BendError(f"{folder.name} must be a folder that can be made ({words}): choose another place") from None
    return folder


def _refuse_taken(target: Path, overwrite: bool) -> None:
    if target.is_dir():
        raise _not_saved(target, _OTHER_NAME, "there is a folder of that name")
    if target.exists():
        if not overwrite:
            raise _taken(target)
        if not os.access(target, os.W_OK):
            raise _not_saved(target, _OTHER_NAME, "the file there is write-protected")


def _taken(target: Path) -> BendError:
    return BendError(f"Choose another name, or say that it is to be overwritten: {target.name} exists already")


def _not_saved(target: Path, to_do: str, why: str) -> BendError:
    return BendError(f"{to_do}: {target.name} was not saved, because {why.format(folder=target.parent)}")


def _write(part: Path, data: bytes) -> None:
    with part.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _take_name(part: Path, target: Path, overwrite: bool) -> None:
    if overwrite:
        with suppress(FileNotFoundError):
            part.chmod(stat.S_IMODE(target.stat().st_mode))
        os.replace(part, target)
        return
    try:
        os.link(part, target)  # refuses a name that is taken, where a rename would replace it
    except FileExistsError:
        raise
    except OSError:  # no second names here, as on a memory stick: claim the name, then fill it in one step
        target.open("xb").close()
        os.replace(part, target)


def _sweep(target: Path) -> None:
    start, now = f".{target.name}.", time.time()
    for entry in os.scandir(target.parent):
        if entry.name.startswith(start) and entry.name.endswith(PART):
            with suppress(OSError):
                if now - entry.stat(follow_symlinks=False).st_mtime > STALE_SECONDS:
                    os.unlink(entry.path)


def _settle(folder: Path) -> None:
    # the new name, too, goes to the disk, where the system can do that
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
