"""What a first run does: find a fit Python, make `.venv` from the hashed lock, and say in plain words what goes on.

Rules of this file:
1. Standard library only, and it parses on any Python 3, like `ready.py`.
2. One first run at a time, and none while a start runs from `.venv` (`ready.shared`). The lock is the operating
   system's, held as long as any process of the run lives, pip included: a killed run can't leave it locked, and nobody
   clears a folder that an orphaned pip still writes to.
3. `.venv` is always made afresh (or removed packages would linger), and its stamp is written last.
4. What goes wrong ends in one message with the way out, exit code 2. All of it goes to standard error.
"""

import contextlib
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from os import path

import ready

OLDEST = (3, 11)
CANDIDATES = ("python3.14", "python3.13", "python3.12", "python3.11", "python3", "python")
FITS = f"import sys, venv, ensurepip; sys.exit(sys.version_info < {OLDEST})"
NO_NETWORK = (
    "Failed to establish a new connection",
    "Temporary failure in name resolution",
    "No matching distribution found",
    "Connection reset",
    "Max retries exceeded",
    "ProxyError",
    "Read timed out",
    "SSLError",
)


class CannotPrepare(Exception):
    """Set-up can't go on; the text says why and what to do."""


def say(words: str) -> None:
    """Tell the person at the terminal what is going on."""
    print(f"zonewright: {words}", file=sys.stderr, flush=True)


def prepare_and_start(root: str, arguments: "list[str]") -> int:
    """Make `.venv` where it isn't ready, then start again inside it with the same arguments.

    Returns the exit code; where the system can replace this process by the next one, it returns only on failure.
    """
    again = [path.join(root, "tools", "ready.py"), *arguments]
    try:
        if ready.in_own_venv(root):  # the folder that is about to be cleared must not be the one we run from
            return start([outer_python(), *again])
        if not fits_here():
            return start([fit_python(CANDIDATES), *again])
        prepare(root, arguments[0])
    except CannotPrepare as reason:
        say(str(reason))
        return 2
    except KeyboardInterrupt:
        say("set-up was stopped; start again and it begins afresh")
        return 130
    return start([venv_python(root), *again])


def start(command: "list[str]") -> int:  # noqa: RET503 (execv doesn't come back)
    """Become `command`, or run it and return its exit code where a process can't be replaced."""
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:  # closed
            stream.flush()
    if sys.platform == "win32":
        return subprocess.call(command)
    os.execv(command[0], command)  # noqa: S606 (no shell is wanted)


# --- which Python ---


def outer_python() -> str:
    """Return the Python that the present virtual environment was made from."""
    return str(getattr(sys, "_base_executable", None) or sys.executable)


def fits_here() -> bool:
    """Tell whether the Python that runs this is new enough and can make a virtual environment with pip."""
    if sys.version_info < OLDEST:
        return False
    try:
        import ensurepip  # noqa: F401
        import venv  # noqa: F401
    except ImportError:  # Debian and its kin ship these two apart from Python
        return False
    return True


def fit_python(candidates: "Sequence[str]") -> str:
    """Return the path of the first candidate that fits; none is a `CannotPrepare` that says what to install."""
    for name in candidates:
        found = shutil.which(name)
        if found and subprocess.call([found, "-c", FITS], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) == 0:
            return found
    raise CannotPrepare(unfit(sys.version_info[:3]))


def unfit(version: "tuple[int, ...]") -> str:
    """Say what a Python of this version lacks and how to come by it."""
    here = ".".join(str(number) for number in version)
    if version < OLDEST:
        return (
            f"the Python here is {here}; Zonewright needs 3.11 or newer.\n"
            "    do: install a newer Python (Debian, Ubuntu: apt install python3.11 python3.11-venv), then start again"
        )
    return (
        f"this Python {here} can't make a virtual environment: its parts venv and ensurepip are missing.\n"
        "    do: install them (Debian, Ubuntu: apt install python3-venv), then start again"
    )


def venv_python(root: str) -> str:
    """Return the path of the Python inside `.venv`."""
    return path.join(root, ".venv", *(("Scripts", "python.exe") if os.name == "nt" else ("bin", "python")))


def version_of(python: str) -> str:
    """Ask a Python for its version as the stamp writes it; nothing if it doesn't run."""
    ask = "import sys; print('.'.join(map(str, sys.version_info[:3])))"
    try:
        asked = subprocess.run(
            [python, "-I", "-c", ask], check=False, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        )
    except OSError:
        return ""
    return asked.stdout.decode("ascii", "replace").strip() if asked.returncode == 0 else ""


# --- one at a time ---


@contextlib.contextmanager
def alone(root: str) -> "Iterator[int]":
    """Hold the folder's set-up lock, waiting for another holder if need be; gives the lock's file descriptor."""
    lock = os.open(path.join(root, ".venv.busy"), os.O_RDWR | os.O_CREAT, 0o644)
    try:
        if not take(lock, wait=False):
            say("another start is making .venv, or still runs from it; waiting for it to end")
            take(lock, wait=True)
        yield lock
    finally:
        os.close(lock)


def take(lock: int, *, wait: bool) -> bool:
    """Take the lock; where it is held, wait for it or return False."""
    if sys.platform == "win32":
        import msvcrt

        while True:
            try:
                msvcrt.locking(lock, msvcrt.LK_LOCK if wait else msvcrt.LK_NBLCK, 1)
            except OSError:
                if not wait:
                    return False
            else:
                return True
    import fcntl

    try:
        fcntl.flock(lock, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except BlockingIOError:
        return False
    return True


def handed_on(lock: int) -> "tuple[int, ...]":
    """Return what a step inherits, so that the lock is held as long as it runs; Windows can't do that."""
    return () if sys.platform == "win32" else (lock,)


# --- making it ---


def prepare(root: str, want: str) -> None:
    """Make `.venv` for `want` (`run` or `dev`), unless another first run has just done it."""
    try:
        with alone(root) as lock:
            said = ready.stamped(root)
            if ready.is_ready(root, want, version_of(venv_python(root))):
                return
            kind = "dev" if said.startswith("dev\n") else want
            say(reason(root, kind, said, there=path.isdir(path.join(root, ".venv"))))
            make(root, kind, lock)
    except OSError as error:
        raise CannotPrepare(
            f"can't write in {root}: {error.strerror or error}.\n"
            "    do: copy the whole folder to a place where you may write and that has room, and start it there"
        ) from error


def reason(root: str, kind: str, said: str, *, there: bool) -> str:
    """Say in plain words why `.venv` is made now: `said` is what its stamp says, `there` whether the folder exists."""
    if not there:
        return "first run: making .venv, once"
    if not said:
        return "an earlier set-up was cut off: making .venv afresh"
    old = said.split("\n")
    new = ready.stamp(root, kind, ready.version_here()).split("\n")
    if old[0] != new[0]:
        return "adding the developer's tools: making .venv afresh"
    if old[2:3] != new[2:3]:
        return "the folder was moved or copied: making .venv afresh"
    if old[3:4] != new[3:4]:
        return f"Python changed to {new[3]}: making .venv afresh"
    return "the list of packages changed: making .venv afresh"


def make(root: str, kind: str, lock: int) -> None:
    """Make `.venv` from nothing by `requirements/<kind>.txt`, and stamp it."""
    folder = path.join(root, ".venv")
    with contextlib.suppress(FileNotFoundError):
        os.remove(path.join(folder, ".ready"))
    if path.lexists(folder):
        shutil.rmtree(folder)
    run([outer_python(), "-I", "-m", "venv", folder], root, lock)
    say("fetching the packages; a quarter of a minute on a good line")
    install = [venv_python(root), "-I", "-m", "pip", "install", "-q", "--disable-pip-version-check", "--no-input"]
    run([*install, "--require-hashes", "-r", f"requirements/{kind}.txt"], root, lock)
    run([*install, "--no-deps", "--no-build-isolation", "-e", "."], root, lock)
    # As pip did with the packages: where Python may not write what it compiled, each start would compile all of it.
    run([venv_python(root), "-I", "-m", "compileall", "-q", "src"], root, lock)
    fresh = path.join(folder, ".ready.new")
    with open(fresh, "w", encoding="utf-8", newline="\n") as opened:
        opened.write(ready.stamp(root, kind, version_of(venv_python(root))))
    os.replace(fresh, path.join(folder, ".ready"))
    say("ready")


def run(command: "Sequence[str]", root: str, lock: int) -> None:
    """Run one step silently, with the lock handed on; its failure is a `CannotPrepare` in plain words."""
    done = subprocess.run(
        command,
        check=False,
        cwd=root,
        env={**os.environ, "PIP_USER": "0", "PYTHONUTF8": "1"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        pass_fds=handed_on(lock),
    )
    if done.returncode != 0:
        raise CannotPrepare(failure(done.stdout.decode("utf-8", "replace")))


def failure(printed: str) -> str:
    """Turn what a failed step printed into one message with the way out; the last lines stand below it."""
    tail = "".join(f"\n    | {line}" for line in printed.strip().splitlines()[-6:])
    if "No space left" in printed:
        return f"the disk is full.\n    do: free half a gigabyte, then start again{tail}"
    if "DO NOT MATCH THE HASHES" in printed:
        return f"a package that came is not the one that was locked.\n    do: don't use it; try another network{tail}"
    if any(sign in printed for sign in NO_NETWORK):
        return f"the packages can't be fetched.\n    do: see to the network or the proxy, then start again{tail}"
    return f"set-up failed.\n    do: mend what the lines below say, then start again{tail}"
