"""A mixture that has been thought through, kept on disk for the next question about it.

What is kept is found again only under a key made of all that it came from: the mixture as written, every file of this
package, and the versions of Python and of the libraries. It lies in the user's cache folder, in a folder that nobody else
can open; where that cannot be had (no home, a disk that cannot be written to, another owner) nothing is kept and everything
works without. ``WASHLORE_CACHE`` names another folder, or ``off``.
"""

from __future__ import annotations

import os
import stat
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from washlore.cli import __version__
from washlore.cli.common import any_given, find, read

if TYPE_CHECKING:
    from washlore.rules.mixture import Mixture
    from washlore.rules.plan import Plan

OFF = "off"
# The oldest goes when there are more; each is about 100 kB.
MOST_KEPT = 40
# What the name of a plan without bands ends in.
AT_BEST = "-best"
# The libraries that a plan is computed with.
LIBRARIES = ("rdkit", "numpy", "experta", "chemicals")


def considered(
    mixture: str | None, given: dict[str, Any], will_do: Callable[[Mixture], bool] = lambda mixture: False
) -> Plan:
    """Return the plan of a mixture, without its ledger where it was kept; raise as ``read`` and ``make_plan`` do.

    Where ``will_do`` says of the mixture that the best estimates are enough, the plan may have no bands: it is ready sooner.
    """
    folder, key = _place(mixture, given)
    if folder is not None:
        plan = _take(folder / key) or _take(folder / (key + AT_BEST))
        if plan is not None and (plan.draws > 1 or will_do(plan.mixture)):
            return plan
    from washlore.rules import plan as plans

    wanted = read(mixture, given)
    plan = plans.make_plan(wanted, 1 if will_do(wanted) else plans.DRAWS)
    if folder is not None:
        _keep(folder, key if plan.draws > 1 else key + AT_BEST, plan)
    return plan


def keep(mixture: str | None, given: dict[str, Any], plan: Plan) -> None:
    """Keep the plan of a mixture for the questions that may follow."""
    folder, key = _place(mixture, given)
    if folder is not None:
        _keep(folder, key, plan)


def _place(mixture: str | None, given: dict[str, Any]) -> tuple[Path | None, str]:
    """Return the folder and the name under which a plan is kept; no folder where none is."""
    folder = _folder()
    key = _key(mixture, given) if folder is not None else None
    return (folder, key) if key else (None, "")


# What it came from


def _digest(of: bytes = b"") -> Any:
    try:
        from _blake2 import blake2b  # what hashlib gives, without the library for all the others
    except ImportError:
        from hashlib import blake2b
    return blake2b(of, digest_size=20)


def _key(mixture: str | None, given: dict[str, Any]) -> str | None:
    """Return a digest of everything that a plan depends on; ``None`` for what cannot be read, which is told elsewhere."""
    said = _digest()
    if mixture is None:
        said.update(repr(sorted(given.items())).encode())
    elif any_given(given):
        return None
    else:
        try:
            path = find(mixture)
            said.update(f"{path.stem}\n".encode() + path.read_bytes())
        except (OSError, ValueError):
            return None
    said.update(_everything_installed())
    return said.hexdigest()


def _everything_installed() -> bytes:
    """Return a digest of the files of this package, and of the versions of Python and the libraries."""
    from importlib.util import find_spec

    said = _digest(f"{sys.version} {__version__}".encode())
    here = Path(__file__).parent
    for package in ("washlore.knowledge", "washlore.rules", "washlore.cli"):
        spec = find_spec(package)
        for folder in (spec.submodule_search_locations or ()) if spec else ():
            _add_files(said, folder)
    folders = {str(here)}
    for library in LIBRARIES:
        spec = find_spec(library)
        if spec is not None and spec.origin:
            folders.add(os.path.dirname(os.path.dirname(spec.origin)))
    for folder in sorted(folders):
        # An installer writes the version into the name of a folder beside the library.
        said.update("\n".join(sorted(n for n in os.listdir(folder) if n.endswith(("-info", ".egg")))).encode())
    return said.digest()


# A file written within so many seconds may be written again without a change of its time.
RECENT_S = 10.0


def _add_files(said: Any, folder: str) -> None:
    """Add each file by its place, size and time, as Python does for what it has compiled, and by its content while it is new."""
    said.update(folder.encode())
    recent = time.time() - RECENT_S
    with os.scandir(folder) as entries:
        found = sorted(entries, key=lambda entry: entry.name)
    for entry in found:
        if entry.is_dir():
            if entry.name != "__pycache__":
                _add_files(said, entry.path)
        elif entry.name.endswith((".py", ".csv", ".toml")):
            known = entry.stat()
            said.update(f"{entry.name} {known.st_size} {known.st_mtime_ns}\n".encode())
            if known.st_mtime > recent:
                with open(entry.path, "rb", buffering=0) as file:
                    said.update(file.read())


# Where it lies


def _folder() -> Path | None:
    """Return the folder to keep plans in, made if need be; ``None`` where there is none that is ours alone."""
    named = os.environ.get("WASHLORE_CACHE", "")
    if named == OFF:
        return None
    try:
        folder = Path(named) if named else _usual_folder()
        if folder is None:
            return None
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        return folder if _ours_alone(folder) else None
    except (OSError, RuntimeError, ValueError):
        return None


def _usual_folder() -> Path | None:
    if os.name == "nt":
        local = os.environ.get("LOCALAPPDATA")
        return Path(local) / "washlore" / "plans" if local else None
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "washlore" / "plans"
    base = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(base) if os.path.isabs(base) else Path.home() / ".cache") / "washlore" / "plans"


def _ours_alone(path: Path) -> bool:
    """Tell whether a file or folder is no link, belongs to the user, and lets no one else in."""
    found = os.lstat(path)
    if stat.S_ISLNK(found.st_mode):
        return False
    return os.name == "nt" or (found.st_uid == os.getuid() and not found.st_mode & 0o077)


def _keep(folder: Path, key: str, plan: Plan) -> None:
    from washlore.cli.kept_bytes import CannotWrite, written_down

    with suppress(OSError, CannotWrite):
        written = written_down(plan)
        temporary = folder / f".{os.getpid()}-{time.monotonic_ns()}"
        handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
        try:
            with open(handle, "wb") as file:
                file.write(written)
            os.replace(temporary, folder / key)
        except OSError:
            os.unlink(temporary)
            raise
        kept = sorted((p for p in folder.iterdir() if p.is_file()), key=lambda p: p.stat().st_mtime, reverse=True)
        for old in kept[MOST_KEPT:]:
            old.unlink()


def _take(path: Path) -> Plan | None:
    """Return what is kept under a path; ``None`` where nothing is, or not what we wrote."""
    try:
        if not _ours_alone(path):
            return None
        from washlore.cli.kept_bytes import read_back

        found = read_back(path.read_bytes())
    except Exception:  # a damaged file may fail in any way; it is computed anew and written over
        return None
    from washlore.rules.plan import Plan

    return found if isinstance(found, Plan) else None
