"""Writes a program so that, whenever the machine stops, the old or the new file is there, whole.

A temporary file in the same folder, flushed to the disk, takes the place of the name in one step. An original is never lost:
it is kept beside the new file under a name that nothing has yet. Symbolic links are not followed out of their folder.
"""

import errno
import hashlib
import os
import stat
import tempfile
from dataclasses import dataclass
from pathlib import Path

from coolcheck.errors import RewriteRefused

MODE_BITS = 0o777  # set-user and sticky bits have no business on a program file
_NO_LINKS = {errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EMLINK, errno.ENOSYS, errno.EXDEV}


@dataclass(frozen=True)
class Original:
    """A program file as it was read. `path` is where it really lies: a link within its own folder is followed."""

    given: Path
    path: Path
    content: bytes
    sha256: str
    mode: int
    owner: tuple[int, int]


def read_original(given: Path) -> Original:
    """The program at `given`, with what is needed to know later whether it is still the same."""
    path = _within_folder(given)
    with open(path, "rb") as file:
        about = os.fstat(file.fileno())
        content = file.read()
    if not stat.S_ISREG(about.st_mode):
        raise RewriteRefused(f"{given}: is no plain file; nothing was written")
    return Original(given, path, content, _hash(content), about.st_mode & MODE_BITS, (about.st_uid, about.st_gid))


def _within_folder(given: Path) -> Path:
    """Where a path really leads. Raises RewriteRefused when a link leads out of the folder it lies in."""
    folder = given.parent.resolve()
    real = given.resolve()
    if real.parent != folder:
        raise RewriteRefused(f"{given}: is a symbolic link out of its folder, to {real}; name that file itself")
    return real


def save_new(target: Path, content: bytes, original: Original) -> Path:
    """Writes `content` to `target`, where nothing may stand yet. Gives the path written.

    Raises RewriteRefused when a file of that name is there, or when the original changed since it was read.
    """
    folder = target.parent.resolve()
    path = folder / target.name
    if os.path.lexists(path):
        raise RewriteRefused(f"{target}: is already there; name another file, or use --in-place on the program itself")
    temporary = _written(folder, path.name, content, original.mode, None)
    try:
        _refuse_if_changed(original)
        _place_without_overwriting(temporary, path)
    finally:
        temporary.unlink(missing_ok=True)
    _flush_folder(folder)
    return path


def save_in_place(content: bytes, original: Original) -> Path:
    """Puts `content` in place of the original, which is kept beside it. Gives the path of the kept original.

    Raises RewriteRefused when the original changed since it was read.
    """
    path, folder = original.path, original.path.parent
    temporary = _written(folder, path.name, content, original.mode, original.owner)
    try:
        _refuse_if_changed(original)
        kept = _keep(original)
        if _hash(kept.read_bytes()) != original.sha256:  # what was kept is what was read, or nothing is replaced
            kept.unlink()
            raise _changed(original)
        os.replace(temporary, path)
    finally:
        temporary.unlink(missing_ok=True)
    _flush_folder(folder)
    return kept


def save_beside(path: Path, content: bytes, mode: int = 0o666) -> None:
    """Writes a file that belongs to a rewrite, such as its certificate: whole or not at all, a file of before replaced."""
    folder = path.parent.resolve()
    if path.is_symlink():
        _within_folder(path)
    temporary = _written(folder, path.name, content, mode & ~_umask(), None)
    try:
        os.replace(temporary, folder / path.name)
    finally:
        temporary.unlink(missing_ok=True)
    _flush_folder(folder)


def kept_name(path: Path, number: int) -> Path:
    """The name under which an original is kept: not one that a search for programs finds.

    >>> kept_name(Path("O1203.nc"), 1).name, kept_name(Path("O1203.nc"), 2).name
    ('O1203.nc.original', 'O1203.nc.original-2')
    """
    return path.with_name(path.name + (".original" if number == 1 else f".original-{number}"))


def _keep(original: Original) -> Path:
    """A second name for the original's own file; on a file system without such names, a copy."""
    number = 1
    while True:
        kept = kept_name(original.path, number)
        try:
            os.link(original.path, kept, follow_symlinks=False)
            return kept
        except FileExistsError:
            number += 1
        except OSError as fault:
            if fault.errno not in _NO_LINKS:
                raise
            return _keep_copy(original, number)


def _keep_copy(original: Original, number: int) -> Path:
    temporary = _written(original.path.parent, original.path.name, original.content, original.mode, original.owner)
    while os.path.lexists(kept_name(original.path, number)):
        number += 1
    kept = kept_name(original.path, number)
    os.rename(temporary, kept)
    return kept


def _written(folder: Path, name: str, content: bytes, mode: int, owner: tuple[int, int] | None) -> Path:
    """A temporary file in `folder` with that content on the disk."""
    handle, text = tempfile.mkstemp(dir=folder, prefix=f".{name}.", suffix=".tmp")
    try:
        with open(handle, "wb") as file:
            file.write(content)
            file.flush()
            if owner is not None and owner != (os.geteuid(), os.getegid()):
                _give(file.fileno(), owner)
            os.fchmod(file.fileno(), mode)
            os.fsync(file.fileno())
    except BaseException:
        Path(text).unlink(missing_ok=True)
        raise
    return Path(text)


def _give(handle: int, owner: tuple[int, int]) -> None:
    """Keeps the owner where the system allows it; a user who may not give files away owns the new one."""
    try:
        os.fchown(handle, *owner)
    except PermissionError:
        return


def _place_without_overwriting(temporary: Path, path: Path) -> None:
    try:
        os.link(temporary, path)  # fails where a file of that name is there; a rename would replace it
    except FileExistsError as fault:
        raise RewriteRefused(f"{path}: is already there; nothing was written") from fault
    except OSError as fault:
        if fault.errno not in _NO_LINKS:
            raise
        if os.path.lexists(path):
            raise RewriteRefused(f"{path}: is already there; nothing was written") from fault
        os.rename(temporary, path)


def _refuse_if_changed(original: Original) -> None:
    try:
        same = _within_folder(original.given) == original.path and _hash(original.path.read_bytes()) == original.sha256
    except OSError:
        same = False
    if not same:
        raise _changed(original)


def _changed(original: Original) -> RewriteRefused:
    return RewriteRefused(f"{original.given}: changed while it was being rewritten; nothing was written, run again")


def _flush_folder(folder: Path) -> None:
    """Makes the new name itself durable."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
