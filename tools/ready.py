"""Start Zonewright or a developer's task from this folder's own `.venv`, made on first use.

Rules of this file:
1. It runs on a bare Python with the standard library only and parses on any Python 3, so that an old one gets a
   sentence and not a syntax error: no future import, no `match`, no walrus, composed types in quotes.
2. The warm way (all is ready) is in here, small and without imports worth a name: this file is compiled again at each
   start. What a first run does is in `first_run.py`, loaded only then.
3. While a start runs from `.venv` it shares the set-up lock, so that no other start clears the folder under it.
4. Ready means that the stamp in `.venv` says exactly this: what for, which lock, which folder, which Python.

Called by `zonewright` and `dev` at the root as `ready.py run|dev ARGUMENTS...`.
"""

import os
import sys
import zlib
from os import path

ROOT = path.dirname(path.dirname(path.abspath(__file__)))
UNINSTALLED = b"\n# Below this line nothing changes what is installed"  # pyproject.toml from there on is left out


def contents(file: str) -> bytes:
    """Return a file's bytes with one kind of line end; nothing if it can't be read: then no stamp matches."""
    try:
        with open(file, "rb") as opened:
            return opened.read().replace(b"\r\n", b"\n")
    except OSError:
        return b""


def stamp(root: str, kind: str, version: str) -> str:
    """Return what `.venv/.ready` must say for a folder, a kind of lock (`run` or `dev`) and a Python version."""
    lock = contents(path.join(root, "requirements", kind + ".txt"))
    project = contents(path.join(root, "pyproject.toml")).partition(UNINSTALLED)[0]
    return "\n".join([kind, f"{zlib.crc32(project, zlib.crc32(lock)):08x}", root, version, ""])


def stamped(root: str) -> str:
    """Return what `.venv/.ready` says; nothing if there is none."""
    return contents(path.join(root, ".venv", ".ready")).decode("utf-8", "replace")


def is_ready(root: str, want: str, version: str) -> bool:
    """Tell whether `.venv` serves `want`; one made for developers serves plain running too."""
    said = stamped(root)
    kind = said.partition("\n")[0]
    return kind in (want, "dev") and said == stamp(root, kind, version)


def version_here() -> str:
    """Return the version of the Python that runs this, as the stamp writes it."""
    return ".".join(str(number) for number in sys.version_info[:3])


def in_own_venv(root: str) -> bool:
    """Tell whether the Python that runs this is the one of the folder's `.venv`."""
    return path.realpath(sys.prefix) == path.realpath(path.join(root, ".venv"))


def shared(root: str) -> bool:
    """Share the set-up lock until this process ends; False where somebody is making `.venv` now.

    Where there is no such lock (Windows doesn't delete what is in use; a folder that may only be read) all is well.
    """
    try:
        import fcntl

        held = os.open(path.join(root, ".venv.busy"), os.O_RDONLY | os.O_CREAT, 0o644)
    except (ImportError, OSError):
        return True
    try:
        fcntl.flock(held, fcntl.LOCK_SH | fcntl.LOCK_NB)  # the end of the process closes it
    except BlockingIOError:
        os.close(held)
        return False
    except OSError:  # a disk without locks
        os.close(held)
    return True


def main(arguments: "list[str]") -> int:
    """Go straight to the job where all is ready; prepare first where not. Returns the exit code."""
    want = arguments[0]
    if not (in_own_venv(ROOT) and shared(ROOT) and is_ready(ROOT, want, version_here())):
        import first_run

        return first_run.prepare_and_start(ROOT, arguments)
    sys.argv = ["dev" if want == "dev" else "zonewright", *arguments[1:]]
    if want == "dev":
        import dev

        return dev.main(arguments[1:])
    del sys.path[0]  # this folder: the names of its files must not stand before anybody's modules
    from zonewright.cli import main as zonewright

    return zonewright()


if __name__ == "__main__":
    try:
        code = main(sys.argv[1:])
    except KeyboardInterrupt:  # before or after the verb, which looks after it itself
        print("\nstopped", file=sys.stderr)
        code = 130
    sys.exit(code)
