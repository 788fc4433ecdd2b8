"""Where washlore runs: no side effects of its import, no network, nothing written, any locale, any path, any newline."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path, PureWindowsPath

import pytest
from click.testing import CliRunner, Result

from washlore.cli import common
from washlore.cli.common import examples
from washlore.cli.main import main

ROOT = Path(__file__).resolve().parents[1]
MODULES = sorted(
    ".".join(("washlore", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__")
    for folder in ("knowledge", "rules", "cli")
    for path in (ROOT / folder).rglob("*.py")
)


def run(*args: str, before: str = "", env: dict[str, str] | None = None, stdin: bytes = b"", cwd: Path | None = None):
    """Run a command line in a process of its own, after some code."""
    code = f"{before}\nfrom washlore.cli.main import main\nmain()"
    env = {k: v for k, v in {**os.environ, "WASHLORE_CACHE": "off", **(env or {})}.items() if v is not None}
    return subprocess.run(
        [sys.executable, "-c", code, *args], input=stdin, capture_output=True, env=env, cwd=cwd, timeout=120
    )


def run_here(*args: str, stdin: bytes = b"") -> Result:
    """Run a command line in this process: where only files matter."""
    return CliRunner().invoke(main, list(args), input=stdin)


STATE = """
import collections, locale, logging, os, signal, sys, warnings
def state():
    return {
        "root handlers": list(logging.root.handlers), "root level": logging.root.level,
        "warnings": list(warnings.filters), "path": list(sys.path), "hooks": list(sys.meta_path),
        "environment": dict(os.environ), "locale": locale.setlocale(locale.LC_ALL), "folder": os.getcwd(),
        "interrupt": signal.getsignal(signal.SIGINT), "collections": hasattr(collections, "Mapping"),
        "excepthook": sys.excepthook, "recursion": sys.getrecursionlimit(),
    }
"""


def test_imports_change_nothing_around_them():
    # The libraries themselves are not ours to answer for, save experta, which is cured as it is imported.
    code = STATE + (
        "import click, numpy, rdkit.Chem, jinja2, importlib\n"
        "before = state()\n"
        f"for name in {MODULES!r}:\n"
        "    try:\n        importlib.import_module(name)\n"
        "    except ModuleNotFoundError as error:\n        assert not (error.name or '').startswith('washlore'), error\n"
        "after = state()\n"
        "assert 'experta' in sys.modules\n"
        "changed = {name: (before[name], after[name]) for name in before if before[name] != after[name]}\n"
        "assert not changed, changed\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr


FLASK = ("--product", "CCOC(=O)c1ccccc1", "--with", "pyridine; 2 mmol", "--solvent", "DCM; 20 mL")
COMMANDS = [
    ("plan", "ester"),
    ("plan", *FLASK, "--format", "json"),
    ("why", "ester", "brine"),
    ("why", "brine"),
    ("know", "groups"),
    ("check", "ester", "--plan", "Washed with sat. NaHCO3 and brine, dried over MgSO4, filtered, evaporated."),
]
ids = pytest.mark.parametrize("args", COMMANDS, ids=" ".join)

NO_NETWORK = """
import sys
def refuse(event, args):
    if event.startswith("socket.") and event not in ("socket.gethostname", "socket.__new__"):
        raise RuntimeError("asked the network: " + event)
sys.addaudithook(refuse)
"""


def test_names_out_of_the_chemicals_package_and_pages_need_no_network(tmp_path):
    page = tmp_path / "p.html"
    done = run("plan", *FLASK, "--with", "4-nitrobenzaldehyde; 1 mmol", "--report", str(page), before=NO_NETWORK)
    assert done.returncode == 0, done.stderr
    assert page.stat().st_size


CHECK = ("check", "ester", "-")


@pytest.mark.parametrize(
    ("closed", "args", "code", "words"),
    [
        ("stdin", CHECK, 2, b""),
        ("stdin", ("plan", "ester"), 0, b""),
        ("stdout", ("plan", "ester"), 0, b""),
        ("stdout", ("plna",), 2, b"is not a command"),
        ("stderr", ("plan", "ester"), 0, b""),
        ("stderr", ("plna",), 2, b""),
    ],
)
def test_a_stream_that_is_closed_is_none_and_no_trouble(closed, args, code, words):
    done = run(*args, before=f"import sys\nsys.{closed} = None")
    assert done.returncode == code and words in done.stderr and b"Traceback" not in done.stderr, done.stderr


def test_the_package_of_commands_can_be_run_by_its_name():
    done = subprocess.run([sys.executable, "-m", "washlore.cli", "--version"], capture_output=True, timeout=60)
    assert done.returncode == 0 and done.stdout.startswith(b"washlore ")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only where a device is always full")
@pytest.mark.parametrize("args", [("plan", "ester"), ("plan", "ester", "--format", "json"), ("--help",)], ids=" ".join)
def test_a_full_disk_is_told_in_one_line(args):
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-c", "from washlore.cli.main import run\nrun()", *args],
            stdout=full,
            stderr=subprocess.PIPE,
            timeout=120,
        )
    assert done.returncode == 2 and done.stderr.count(b"\n") == 1 and b"the system refused" in done.stderr


WATCHED = """
import os, sys
def tell(event, args):
    if event == "open" and isinstance(args[0], (str, bytes)) and (
        set(str(args[1] or "")) & set("wax+") or (isinstance(args[2], int) and args[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT))
    ) or event in ("os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.link", "os.symlink", "os.chmod", "os.truncate"):
        if args[0] != os.devnull:
            print("WROTE", event, args[0], file=sys.stderr)
sys.dont_write_bytecode = True
sys.addaudithook(tell)
"""


@ids
def test_no_network_is_asked_and_nothing_written(args):
    # On a console of Windows too, and no file is read in whatever encoding the machine likes: that would be warned of.
    odd = {"PYTHONIOENCODING": "cp1252", "PYTHONWARNDEFAULTENCODING": "1"}
    done = run(*args, before=NO_NETWORK + WATCHED, env=odd)
    assert done.returncode in (0, 1) and done.stdout.decode("cp1252") and not done.stderr, done.stderr


def test_what_is_kept_is_written_to_its_folder_and_nowhere_else(tmp_path):
    folder = tmp_path / "kept"
    done = run("why", "ester", "brine", before=WATCHED, env={"WASHLORE_CACHE": str(folder)})
    written = [line for line in done.stderr.decode().splitlines() if line.startswith("WROTE")]
    assert written and all(str(folder) in line for line in written), written


@pytest.mark.parametrize("home", [None, "/nonexistent"])
def test_without_a_home(home, tmp_path):
    env = {"HOME": home, "XDG_CACHE_HOME": None, "WASHLORE_CACHE": None, "USERPROFILE": None, "LOCALAPPDATA": None}
    if home is None and hasattr(os, "getuid"):
        env["XDG_CACHE_HOME"] = str(tmp_path)  # without HOME the folder of the account would be used
    done = run("why", "ester", "brine", env=env)
    assert done.returncode == 0 and not done.stderr, done.stderr


@pytest.fixture(scope="module")
def usual() -> bytes:
    return run("plan", "ester", "--format", "json").stdout


PLAIN = {"PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONIOENCODING": None}


@pytest.mark.parametrize("locale", ["C", "tr_TR.UTF-8", "de_DERWISH.UTF-8"])
def test_a_locale_changes_no_number_and_no_word(locale, usual):
    env = {**PLAIN, "LC_ALL": locale, "LANG": locale}
    assert run("plan", "ester", "--format", "json", env=env).stdout == usual


def test_a_terminal_without_signs_is_written_to_all_the_same():
    shown = run("plan", "ester", env={**PLAIN, "LC_ALL": "POSIX", "LANG": "POSIX"})
    assert shown.returncode == 0 and b"Wash with 2 " in shown.stdout and not shown.stderr


ODD = ["with space", "Übung für Anfänger", "フラスコ", "a'b\"c" if os.name != "nt" else "a'b", "x" * 100]


@pytest.mark.parametrize("name", ODD)
def test_files_lie_where_they_like(name, tmp_path, usual, monkeypatch):
    folder = tmp_path / name
    folder.mkdir()
    (folder / "flask ü.toml").write_bytes(examples()["ester"].read_bytes())
    for cwd, path in ((folder, "flask ü.toml"), (tmp_path, f"{name}/flask ü.toml")):
        monkeypatch.chdir(cwd)
        assert json.loads(run_here("plan", path, "--format", "json").stdout)["steps"] == json.loads(usual)["steps"]
    report = run_here("plan", path, "--report", f"{name}/plan ü.md")
    assert report.exit_code == 0 and (folder / "plan ü.md").stat().st_size


def test_a_path_beyond_ascii_is_found_in_a_plain_locale(tmp_path, usual):
    folder = tmp_path / "フラスコ"
    folder.mkdir()
    (folder / "ü.toml").write_bytes(examples()["ester"].read_bytes())
    done = run("plan", "ü.toml", "--format", "json", cwd=folder, env={**PLAIN, "LC_ALL": "C"})
    assert json.loads(done.stdout)["steps"] == json.loads(usual)["steps"]


FLASK_TOML = examples()["ester"].read_text("utf-8")
PLAN_TEXT = "1. Wash with 2 × 15 mL of sat. NaHCO3.\n2. Wash with brine.\n3. Dry over MgSO4, filter.\n4. Evaporate.\n"


@pytest.mark.parametrize(
    "text", [FLASK_TOML.replace("\n", "\r\n"), "\ufeff" + FLASK_TOML, "\ufeff" + FLASK_TOML.replace("\n", "\r\n")]
)
def test_a_mixture_may_come_from_windows(text, tmp_path, usual):
    file = tmp_path / "flask.toml"
    file.write_bytes(text.encode("utf-8"))
    assert json.loads(run_here("plan", str(file), "--format", "json").stdout)["steps"] == json.loads(usual)["steps"]


def test_a_mixture_in_another_encoding_is_refused_in_words(tmp_path):
    file = tmp_path / "flask.toml"
    file.write_bytes(('title = "Grüner Ester"\n' + FLASK_TOML.partition("\n")[2]).encode("cp1252"))
    done = run_here("plan", str(file))
    assert done.exit_code == 2 and "Traceback" not in done.stderr and "UTF-8" in done.stderr, done.stderr


@pytest.fixture(scope="module")
def wanted() -> list:
    return json.loads(run_here("check", "ester", "--plan", PLAN_TEXT, "--format", "json").stdout)["findings"]


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_a_plan_may_come_from_windows(newline, encoding, tmp_path, wanted):
    file = tmp_path / "plan.txt"
    file.write_bytes(PLAN_TEXT.replace("\n", newline).encode(encoding))
    for name, stdin in ((str(file), b""), ("-", file.read_bytes())):
        done = run_here("check", "ester", name, "--format", "json", stdin=stdin)
        assert done.exit_code == 1 and json.loads(done.stdout)["findings"] == wanted, done.stderr


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_a_table_of_molecules_may_come_from_windows(newline, tmp_path):
    file = tmp_path / "m.csv"
    file.write_bytes(("\ufeffname,smiles\nacid,OC(=O)c1ccccc1\n").replace("\n", newline).encode("utf-8"))
    done = run_here("properties", str(file), "--format", "json")
    assert done.exit_code == 0 and json.loads(done.stdout)["rows"][0]["sites"], done.stderr


def test_paths_of_windows_are_told_from_names(tmp_path, monkeypatch):
    """A path with backslashes and a drive is taken for a file, never for a question or an example."""
    done = run_here("why", r"C:\Users\a b\flask.toml", "brine")
    assert done.exit_code == 2 and r"C:\Users\a b\flask.toml" in done.stderr and "Traceback" not in done.stderr
    assert PureWindowsPath(r"C:\Users\a b\flask.toml").stem == "flask"
    assert common.find("ester").is_file()
