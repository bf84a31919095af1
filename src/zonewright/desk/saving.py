"""Writing files so that nothing is ever half-written, and nothing written over unasked.

Rules of this file:
1. A file appears whole or not at all: written beside its place under a hidden name, synced to the disk, then renamed.
2. Of a set, every file is written before the first is renamed: what can fail (room, rights, names) fails before
   anything shows.
3. An existing file is refused, unless the user lets it be written over; that only ever replaces plain files, and never
   one that the verb reads from.
4. What is written shows how to get in: a file is for its owner alone (0600). Only an edit in place keeps the rights.
5. What the disk refuses is a `Finding` with the way out, raised as `BadInput`, all refusals of a set at once.
"""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import stat
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from zonewright.findings import BadInput, Finding, Severity

WAYS_OUT = {
    errno.ENOSPC: "free some room on that disk, or write to another",
    errno.EDQUOT: "free some of your quota on that disk, or write to another",
    errno.EFBIG: "files on that disk may not be so large: write to another",
    errno.EACCES: "you may not write in that folder: choose one of your own",
    errno.EPERM: "you may not write in that folder: choose one of your own",
    errno.EROFS: "that disk can only be read: choose a folder on another",
    errno.ENOENT: "make the folder first, or write into one that exists",
    errno.ENOTDIR: "a part of that path is a file and no folder: write into a folder",
    errno.ENAMETOOLONG: "choose a shorter name",
}


def save(path: Path, content: str | bytes, *, force: bool = False, inputs: Iterable[Path] = ()) -> None:
    """Write one file whole; text is written as UTF-8. Raises `BadInput` where it can't or may not be written."""
    save_all({path: content}, force=force, inputs=inputs)


def save_edited(path: Path, content: str) -> None:
    """Write a file that was read and edited in its place, with the rights that it had."""
    save_all({path: content}, force=True, keep_rights=True)


def save_all(
    files: Mapping[Path, str | bytes], *, force: bool = False, inputs: Iterable[Path] = (), keep_rights: bool = False
) -> None:
    """Write a set of files, each whole, and none of them if any can't or may not be written.

    `inputs` are the files that the content comes from: none of them is written over, whatever the user said.
    """
    targets = {Path(os.path.realpath(path)): (path, content) for path, content in files.items()}
    read = [Path(os.path.realpath(path)) for path in inputs]
    refused = [finding for target, (path, _) in targets.items() if (finding := is_input(path, target, read))]
    if len(targets) < len(files):
        refused.append(twice(list(files)))
    if not refused:
        refused = [finding for target, (path, _) in targets.items() if (finding := refusal(path, target, force=force))]
    if refused:
        raise BadInput(refused)
    written: dict[Path, Path] = {}  # target -> the hidden file beside it
    try:
        for target, (path, content) in targets.items():
            hidden = target.with_name(f".{target.name[:40]}.{secrets.token_hex(4)}.tmp")
            try:
                written[target] = hidden
                write_synced(hidden, content.encode("utf-8") if isinstance(content, str) else content)
            except OSError as error:
                raise BadInput([unwritable(path, error)]) from error
        for target, hidden in written.items():
            try:
                publish(hidden, target, force=force, keep_rights=keep_rights)
            except OSError as error:
                raise BadInput([unwritable(targets[target][0], error)]) from error
    finally:
        for hidden in written.values():
            with contextlib.suppress(OSError):
                hidden.unlink(missing_ok=True)
    for folder in {target.parent for target in targets}:
        sync_folder(folder)


def is_input(path: Path, target: Path, read: Iterable[Path]) -> Finding | None:
    """Say that a place is one of the files that are read, by whatever name, if it is."""
    if any(target == each or _same(target, each) for each in read):
        says = "is read by this command, and would be lost"
        return Finding("SAVE-04", Severity.PROBLEM, str(path), says, fix="choose another name")
    return None


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return False


def twice(paths: Sequence[Path]) -> Finding:
    """Say that two of the files to write are one."""
    ends = Counter(os.path.realpath(path) for path in paths)
    path = next(path for path in paths if ends[os.path.realpath(path)] > 1)
    return Finding(
        "SAVE-05", Severity.PROBLEM, str(path), "two files would be written there", fix="choose another name"
    )


def refusal(path: Path, target: Path, *, force: bool) -> Finding | None:
    """Say why a place may not be written to, if it may not."""
    try:
        there = target.lstat()
    except OSError:
        return None  # nothing is there; if the folder is wrong, writing tells it
    if not stat.S_ISREG(there.st_mode):
        kind = "a folder" if stat.S_ISDIR(there.st_mode) else "no plain file"
        return Finding("SAVE-02", Severity.PROBLEM, str(path), f"is {kind}", fix="give the name of a file")
    if not force:
        return exists(path)
    return None


def exists(path: Path) -> Finding:
    """Say that a file stands there already."""
    return Finding(
        "SAVE-01",
        Severity.PROBLEM,
        str(path),
        "exists already; nothing was written",
        fix="choose another name, or let it be written over",
    )


def unwritable(path: Path, error: OSError) -> Finding:
    """Turn what the system said into a finding with the way out."""
    if error.errno == errno.EEXIST:  # it came into being since we looked
        return exists(path)
    says = f"can't be written: {(error.strerror or str(error)).lower()}"
    fix = WAYS_OUT.get(error.errno or 0, "write to another folder or disk")
    return Finding("SAVE-03", Severity.PROBLEM, str(path), says, fix=fix)


def write_synced(path: Path, content: bytes) -> None:
    """Write a new file and wait until the disk has it."""
    with open(path, "xb", opener=_for_its_owner) as opened:
        opened.write(content)
        opened.flush()
        os.fsync(opened.fileno())


def _for_its_owner(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)


def publish(hidden: Path, target: Path, *, force: bool, keep_rights: bool = False) -> None:
    """Give a written file its name; without `force`, never that of a file that has come into being meanwhile."""
    if keep_rights:
        with contextlib.suppress(OSError):  # a new file: nothing to take the rights from
            hidden.chmod(stat.S_IMODE(target.stat().st_mode))
    if force:
        hidden.replace(target)
        return
    try:
        os.link(hidden, target)
    except FileExistsError:
        raise
    except OSError:  # a disk without hard links
        if target.exists():
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(target)) from None
        hidden.replace(target)


def sync_folder(folder: Path) -> None:
    """Wait until the disk has the folder's new names, where the system can do that."""
    with contextlib.suppress(OSError):
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)
