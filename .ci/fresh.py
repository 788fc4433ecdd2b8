"""Set washlore up in a virtual environment of its own and run something in it.

    python3 .ci/fresh.py plan [ARGUMENTS OF washlore plan]     plans the shipped example if none are given
    python3 .ci/fresh.py tests [ARGUMENTS OF pytest]           runs the test suite
    python3 .ci/fresh.py check                                 ruff, mypy, and the wheel in a clean environment
    python3 .ci/fresh.py lowest                                the core's tests with the lowest versions that are allowed
    python3 .ci/fresh.py second                                the same plans on another Python, where one is installed
    python3 .ci/fresh.py coverage                              lines and branches that the suite's brisk part runs

Needs Python 3.11 or newer with venv, and a package index that pip can reach; nothing else.
"""

import compileall
import os
import re
import shutil
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

HOME = Path(__file__).resolve().parent.parent
EXAMPLE = "ester"
# What the lowest versions of the libraries are tried on: the engine, the numbers, names, whole plans, pages, and a class in
# every kind of file, on a cluster too.
CORE = [f"tests/test_{name}.py" for name in ("engine", "matcher", "ledger", "names", "must_come_right", "scope")]
CLASS = [f"tests/test_{name}.py" for name in ("review", "review_workers", "schema")]
PAGES = [
    f"tests/test_report.py::test_the_{name}"
    for name in ("sheet_fits_a_phone", "report_prints_on_few_pages_within_the_margins_with_every_step")
]
# What another Python is tried on, beside the same plans.
ANEW = [f"tests/test_{name}.py" for name in ("engine", "matcher", "names", "rows", "kept")]
PLANS = 25
# What coverage is measured without: the same again a thousand times, or in a browser, or in processes of its own.
AGAIN = ("invariants", "review_workers", "review_hostile", "report", "open_workups", "fuzz", "benchmarks", "memory", "readme",
         "page", "terminal", "demo_class", "kept", "api", "imports")  # fmt: skip


def environment(folder: Path, *install: str, python: str = "") -> Path:
    """Return the folder of programs of a virtual environment that has ``install``; make it if it is not there."""
    programs = folder / ("Scripts" if os.name == "nt" else "bin")
    stamp = folder / "washlore-ready"
    if not stamp.exists():
        print(f"setting up {folder.name} (a minute or two the first time) ...", file=sys.stderr, flush=True)
        if python:
            run(python, "-m", "venv", "--clear", folder)
        else:
            venv.create(folder, with_pip=True, clear=True)
        run(programs / "python", "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *install)
        stamp.touch()
    return programs


def run(*command: object, **options: object) -> None:
    """Run a command; leave with its exit code if it fails."""
    code = subprocess.run([str(part) for part in command], **options).returncode  # type: ignore[call-overload]
    if code:
        raise SystemExit(code)


def compile_sources() -> None:
    """Compile our modules, as pip does for what it installs for good: an editable install is compiled by nobody."""
    for package in ("knowledge", "rules", "cli"):
        compileall.compile_dir(HOME / package, quiet=2)


def another_python() -> str:
    """Return an installed Python of another minor version, from 3.11 on, the newest first; empty where there is none."""
    found: dict[tuple[int, int], str] = {}
    for folder in (*os.environ.get("PATH", "").split(os.pathsep), *Path.home().glob(".pyenv/versions/*/bin")):
        for path in Path(folder).glob("python3.*"):
            if (name := re.fullmatch(r"python3\.(\d+)(?:\.exe)?", path.name)) and "shims" not in path.parts:
                found.setdefault((3, int(name[1])), str(path))
    for version, path in sorted(found.items(), reverse=True):
        if version >= (3, 11) and version != sys.version_info[:2]:
            code = "import sys, venv, ensurepip; print(sys.version_info[:2] == " + repr(version) + ")"
            tried = subprocess.run([path, "-c", code], capture_output=True, text=True)
            if tried.stdout.strip() == "True":
                return path
    return ""


def compare_pythons() -> None:
    """Run some tests on another Python, and see that it says the same of random flasks as this one."""
    python = another_python()
    if not python:
        print("no other Python from 3.11 on is installed here: nothing was compared", file=sys.stderr)
        return
    usual = environment(HOME / ".venv-tests", "--editable", f"{HOME}[dev]")
    listed = [usual / "python", "-m", "pip", "freeze", "--exclude-editable"]
    libraries = ("experta", "rdkit", "numpy", "pandas", "click", "chemicals", "jinja2", "matplotlib", "scipy")
    same = [
        line
        for line in subprocess.run(listed, capture_output=True, text=True, check=True).stdout.splitlines()
        if line.lower().partition("==")[0] in libraries
    ]
    folder = HOME / f".venv-{Path(python).name.removesuffix('.exe')}"
    programs = environment(folder, "--editable", str(HOME), "pytest", "hypothesis", *same, python=python)
    run(programs / "python", "-m", "pytest", "-q", *ANEW, cwd=HOME)
    said = [
        subprocess.run(
            [str(each / "python"), "tests/test_invariants.py", "trace", str(PLANS)],
            cwd=HOME,
            capture_output=True,
            check=True,
        ).stdout
        for each in (usual, programs)
    ]
    if said[0] != said[1]:
        raise SystemExit(f"{python} plans other than {sys.executable}")
    print(f"{PLANS} random flasks: {Path(python).name} says the same as {sys.version.split()[0]}")


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
        check_read_only(clean, elsewhere)
        check_public_types(clean, elsewhere)


def check_read_only(programs: Path, elsewhere: Path) -> None:
    """Run the example from an installation that cannot be written to, for somebody without a home.

    Root may write anywhere all the same; ``tests/test_surroundings.py`` watches what is opened for writing.
    """
    find = "import washlore.cli; print(washlore.cli.__path__[0])"
    told = subprocess.run(
        [str(programs / "python"), "-c", find], capture_output=True, text=True, check=True, cwd=elsewhere
    )
    package = Path(told.stdout.strip()).parent
    paths = [package, *package.rglob("*")]
    modes = {path: path.stat().st_mode for path in paths}
    try:
        for path in paths:
            path.chmod(modes[path] & ~0o222)
        for home in ({"HOME": str(elsewhere / "missing")}, {}):
            kept = {k: v for k, v in os.environ.items() if k not in ("HOME", "XDG_CACHE_HOME")} | home
            for command in (("plan", EXAMPLE), ("why", EXAMPLE, "brine")):
                run(programs / "washlore", *command, cwd=elsewhere, env=kept, stdout=subprocess.DEVNULL)
        if set(package.rglob("*")) != set(paths) - {package}:
            raise SystemExit("something was written into the installation")
    finally:
        for path in paths:
            path.chmod(modes[path])


def check_public_types(programs: Path, elsewhere: Path) -> None:
    """See that the README's Python is type-checked against the installed package, as its users' would be."""
    readme = (HOME / "README.md").read_text(encoding="utf-8")
    example = elsewhere / "example.py"
    example.write_text(readme.split("```python\n")[1].split("```")[0], encoding="utf-8")
    mypy = environment(HOME / ".venv-tests", "--editable", f"{HOME}[dev]") / "mypy"
    options = ("--python-executable", programs / "python", "--follow-imports", "silent", "--config-file", os.devnull)
    run(mypy, *options, example, cwd=elsewhere)
    run(programs / "python", example, cwd=elsewhere)


def main() -> None:
    """Do what the command line asks for."""
    if sys.version_info < (3, 11):
        raise SystemExit(f"washlore needs Python 3.11 or newer; this is {sys.version.split()[0]}.")
    task, *rest = sys.argv[1:] or ["plan"]
    if task == "plan":
        programs = environment(HOME / ".venv", "--editable", str(HOME))
        compile_sources()
        run(programs / "washlore", "plan", *(rest or [EXAMPLE]))
    elif task == "tests":
        programs = environment(HOME / ".venv-tests", "--editable", f"{HOME}[dev]")
        compile_sources()
        run(programs / "python", "-m", "pytest", *rest, cwd=HOME)
    elif task == "check":
        programs = environment(HOME / ".venv-tests", "--editable", f"{HOME}[dev]")
        run(programs / "ruff", "check", "--config", HOME / ".ci" / "ruff.toml", HOME)
        run(programs / "ruff", "format", "--check", "--config", HOME / ".ci" / "ruff.toml", HOME)
        check_types(programs)
        check_wheel()
    elif task == "lowest":
        lowest = ("--constraint", str(HOME / ".ci" / "lowest.txt"))
        programs = environment(HOME / ".venv-lowest", *lowest, "--editable", f"{HOME}[tests]")
        run(programs / "python", "-m", "pytest", "-q", *(rest or [*CORE, *CLASS, *PAGES]), cwd=HOME)
    elif task == "second":
        compare_pythons()
    elif task == "coverage":
        programs = environment(HOME / ".venv-tests", "--editable", f"{HOME}[dev]")
        run(programs / "python", "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "coverage")
        without = [f"--ignore=tests/test_{name}.py" for name in AGAIN]
        measured = ("-m", "coverage", "run", "--branch", "--source=rules,knowledge", "-m", "pytest", "-q")
        run(programs / "python", *measured, *(rest or without), cwd=HOME)
        run(programs / "python", HOME / ".ci" / "covered.py", cwd=HOME)
    else:
        raise SystemExit(__doc__)


if __name__ == "__main__":
    main()
