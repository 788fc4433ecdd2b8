"""Imports run one way, from the command line over the rules to the knowledge, and only when they are needed."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
# What each folder may import of the others.
MAY = {"knowledge": {"knowledge"}, "rules": {"knowledge", "rules"}, "cli": {"knowledge", "rules", "cli"}}
FILES = [path for folder in MAY for path in sorted((ROOT / folder).rglob("*.py"))]


def imported(path: Path) -> Iterator[str]:
    """Yield the modules that a file imports anywhere in it, relative ones made absolute."""
    package = ["washlore", *path.relative_to(ROOT).parts[:-1]]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            if node.level:
                base = package[: len(package) - node.level + 1]
                yield ".".join([*base, *([node.module] if node.module else [])])
            elif node.module:
                yield node.module
                yield from (f"{node.module}.{alias.name}" for alias in node.names if node.module == "washlore")
        elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith("import_module"):
            yield from (a.value for a in node.args if isinstance(a, ast.Constant) and isinstance(a.value, str))


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_run_one_way(path):
    folder = path.relative_to(ROOT).parts[0]
    for module in imported(path):
        parts = module.split(".")
        if parts[0] == "washlore" and len(parts) > 1:
            assert parts[1] in MAY[folder], f"{path.name} imports {module}"


def test_one_module_imports_experta():
    found = {
        str(path.relative_to(ROOT))
        for path in FILES
        if any(module.split(".")[0] == "experta" for module in imported(path)) or '"experta.' in path.read_text("utf-8")
    }
    assert found == {str(Path("rules") / "borrowed.py")}


# numpy comes by way of ``knowledge/arrays.py``, which loads it when a number is asked for.
@pytest.mark.parametrize("library", ["numpy", "pandas", "chemicals", "scipy", "matplotlib"])
def test_heavy_libraries_are_imported_inside_functions_only(library):
    for path in FILES:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in tree.body:
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert all(name.split(".")[0] != library for name in names), path.name


def loaded(*args: str, fine: tuple[int, ...] = (0,)) -> tuple[set[str], str]:
    """Return the top modules loaded by a command line, and what it printed; other exit codes than those are not fine."""
    code = (
        "import sys\n"
        "from washlore.cli.main import main\n"
        "try:\n    main()\n"
        f"except SystemExit as end:\n    assert (end.code or 0) in {fine}, end.code\n"
        "print('\\n@@' + ' '.join(sorted({name.split('.')[0] for name in sys.modules} | ({'rdkit.Chem.Draw'} & set(sys.modules)))))"
    )
    done = subprocess.run([sys.executable, "-c", code, *args], capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    shown, _, names = done.stdout.rpartition("\n@@")
    return set(names.split()), shown


CHEMISTRY = {"rdkit", "numpy", "experta"}
PAGES = {"jinja2", "rdkit.Chem.Draw", "matplotlib"}
SELDOM = PAGES | {
    *("pandas", "chemicals", "scipy", "openpyxl", "xlsxwriter", "defusedxml", "pyarrow", "dask", "distributed"),
    *("playwright", "rapidfuzz", "datasketch", "charset_normalizer"),
}
WRITTEN = "Washed with sat. NaHCO3 and brine, dried over MgSO4, filtered, evaporated. DCM."


@pytest.mark.parametrize(
    ("args", "may"),
    [
        ("plan ester", CHEMISTRY),
        ("why ester brine", CHEMISTRY),
        ("why ester not|1 M NaOH --unless", CHEMISTRY),
        ("why brine", {"rdkit", "experta"}),
        ("check ester written.txt", CHEMISTRY),
        ("know groups", set()),
        ("know reagents", set()),
        ("new flask.toml", set()),
        ("properties molecules.csv", {"rdkit", "numpy"}),
        ("plan ester --report plan.svg", CHEMISTRY | {"jinja2"}),
        ("plan ester --report plan.md", CHEMISTRY | {"jinja2"}),
        ("plan ester --report plan.html", CHEMISTRY | PAGES),
    ],
)
def test_each_command_loads_what_it_needs_and_no_more(args, may, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "molecules.csv").write_text("smiles\nOC(=O)c1ccccc1\n")
    (tmp_path / "written.txt").write_text(WRITTEN)
    names, _ = loaded(*(word.replace("|", " ") for word in args.split()), fine=(0, 1))
    assert names & (CHEMISTRY | SELDOM) <= may


HEAVY = {"rdkit", "experta", "pandas", "numpy", "chemicals", "scipy"}


@pytest.mark.parametrize(
    "args", [(), ("--version",), ("--help",), ("plan", "--help"), ("why", "--help"), ("know", "--help")]
)
def test_help_and_version_load_no_chemistry(args):
    names, _ = loaded(*args)
    assert names.isdisjoint(HEAVY)


@pytest.mark.parametrize(
    ("args", "ours"), [("--version", set()), ("--help", set()), ("", set()), ("why --help", {"common", "why"})]
)
def test_help_and_version_load_click_and_little_more(args, ours):
    code = "import sys\n{}\ntry:\n    main()\nexcept SystemExit:\n    pass\nprint('\\n@@', *sys.modules)"

    def names(begin: str, *args: str) -> set[str]:
        done = subprocess.run(
            [sys.executable, "-c", code.format(begin), *args], capture_output=True, text=True, timeout=60
        )
        return set(done.stdout.rpartition("@@")[2].split())

    # Beside a help page of click itself, which wraps its lines.
    floor = names("import click\n@click.command()\ndef main(): pass", "--help")
    more = names("from washlore.cli.main import main", *args.split()) - floor
    assert {n for n in more if n.startswith("washlore")} == {
        *("washlore", "washlore.cli", "washlore.cli.main"),
        *(f"washlore.cli.{n}" for n in ours),
    }
    assert len(more) < 10 + 6 * len(ours), sorted(more)


@pytest.mark.parametrize("table", ["solutions", "groups", "sources"])
def test_tables_are_listed_without_the_engine(table):
    names, _ = loaded("know", table)
    assert "experta" not in names and "pandas" not in names


def test_new_loads_no_chemistry(tmp_path):
    names, _ = loaded("new", str(tmp_path / "m.toml"))
    assert names.isdisjoint(HEAVY)


def test_a_plan_by_table_names_loads_neither_pandas_nor_chemicals():
    options = ("--product", "CCOC(=O)c1ccccc1", "--with", "pyridine; 2 mmol", "--solvent", "DCM; 20 mL")
    for args in (("plan", *options), ("why", *options, "brine"), ("why", "brine")):
        names, _ = loaded(*args)
        assert names.isdisjoint({"pandas", "chemicals", "scipy"}), args
