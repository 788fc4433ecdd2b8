"""Set washlore up in a virtual environment of its own and run something in it.

    python3 .ci/fresh.py plan [ARGUMENTS OF washlore plan]     plans the shipped example if none are given
    python3 .ci/fresh.py tests [ARGUMENTS OF pytest]           runs the test suite
    python3 .ci/fresh.py check                                 ruff, mypy, and the wheel in a clean environment
    python3 .ci/fresh.py lowest                                the core's tests with the lowest versions that are allowed

Needs Python 3.11 or newer with venv, and a package index that pip can reach; nothing else.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

HOME = Path(__file__).resolve().parent.parent
EXAMPLE = "ester"
# What the lowest versions of the libraries are tried on: the engine, the numbers, names, and whole plans.
CORE = [f"tests/test_{name}.py" for name in ("engine", "matcher", "ledger", "names", "must_come_right", "scope")]


def environment(folder: Path, *install: str) -> Path:
    """Return the folder of programs of a virtual environment that has ``install``; make it if it is not there."""
    programs = folder / ("Scripts" if os.name == "nt" else "bin")
    stamp = folder / "washlore-ready"
    if not stamp.exists():
        print(f"setting up {folder.name} (a minute or two the first time) ...", file=sys.stderr, flush=True)
        venv.create(folder, with_pip=True, clear=True)
        run(programs / "python", "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *install)
        stamp.touch()
    return programs


def run(*command: object, **options: object) -> None:
    """Run a command; leave with its exit code if it fails."""
    code = subprocess.run([str(part) for part in command], **options).returncode  # type: ignore[call-overload]
    if code:
        raise SystemExit(code)


def check_types(programs: Path) -> None:
    """Run mypy over the packages laid out as they are installed; an editable install hides them from it."""
    with tempfile.TemporaryDirectory() as name:
        for package in ("knowledge", "rules", "cli"):
            shutil.copytree(HOME / package, Path(name) / "washlore" / package)
        run(programs / "mypy", "--config-file", HOME / "setup.cfg", "-p", "washlore", cwd=name)


def check_wheel() -> None:
    """Build sdist and wheel, install each in a clean environment, and run the example from another folder."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        elsewhere = folder / "a folder, \u00fc"
        elsewhere.mkdir()
        programs = environment(folder / "build", "build")
        run(programs / "python", "-m", "build", "--quiet", "--outdir", folder / "dist", HOME)
        wheel, sdist = (next((folder / "dist").glob(kind)) for kind in ("*.whl", "*.tar.gz"))
        clean = environment(folder / "clean", str(wheel))
        run(clean / "washlore", "plan", EXAMPLE, cwd=elsewhere)
        run(clean / "washlore", "plan", EXAMPLE, "--format", "json", cwd=elsewhere, stdout=subprocess.DEVNULL)
        for report in ("plan.html", "plan.md", "plan.svg"):
            run(clean / "washlore", "plan", EXAMPLE, "--report", report, cwd=elsewhere)
            if not (elsewhere / report).stat().st_size:
                raise SystemExit(f"{report} is empty")
        again = ("--quiet", "--disable-pip-version-check", "--force-reinstall", "--no-deps")
        run(clean / "python", "-m", "pip", "install", *again, sdist)
        run(clean / "washlore", "why", EXAMPLE, "brine", cwd=elsewhere, stdout=subprocess.DEVNULL)


def main() -> None:
    """Do what the command line asks for."""
    if sys.version_info < (3, 11):
        raise SystemExit(f"washlore needs Python 3.11 or newer; this is {sys.version.split()[0]}.")
    task, *rest = sys.argv[1:] or ["plan"]
    if task == "plan":
        programs = environment(HOME / ".venv", "--editable", str(HOME))
        run(programs / "washlore", "plan", *(rest or [EXAMPLE]))
    elif task == "tests":
        programs = environment(HOME / ".venv-tests", "--editable", f"{HOME}[dev]")
        run(programs / "python", "-m", "pytest", *rest, cwd=HOME)
    elif task == "check":
        programs = environment(HOME / ".venv-tests", "--editable", f"{HOME}[dev]")
        run(programs / "ruff", "check", "--config", HOME / ".ci" / "ruff.toml", HOME)
        run(programs / "ruff", "format", "--check", "--config", HOME / ".ci" / "ruff.toml", HOME)
        check_types(programs)
        check_wheel()
    elif task == "lowest":
        lowest = ("--constraint", str(HOME / ".ci" / "lowest.txt"))
        programs = environment(HOME / ".venv-lowest", *lowest, "--editable", str(HOME), "pytest", "hypothesis")
        run(programs / "python", "-m", "pytest", "-q", *(rest or CORE), cwd=HOME)
    else:
        raise SystemExit(__doc__)


if __name__ == "__main__":
    main()
