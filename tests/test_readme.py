"""The README's commands are run and print what it says; every command is shown in it.

``WASHLORE_UPDATE_README=1 pytest tests/test_readme.py`` writes the output anew.
"""

from __future__ import annotations

import os
import re
import shlex
from collections import Counter
from pathlib import Path

import pytest
from click.testing import CliRunner

from washlore.cli.main import COMMANDS, main
from washlore.knowledge.rows import (
    Buffer,
    Desiccant,
    Group,
    MeasuredPka,
    Reagent,
    Residue,
    Solution,
    Solvent,
    Source,
    table,
)

README = Path(__file__).resolve().parent.parent / "README.md"
BLOCK = re.compile(r"```console\n\$ (?P<command>[^\n]+)\n(?P<output>.*?)```", re.DOTALL)
TABLES = (Group, Residue, Solution, Buffer, Solvent, Desiccant, Reagent, MeasuredPka)


def _run(command: str, folder: Path) -> str:
    words = shlex.split(command)
    assert words[0] == "washlore"
    here = Path.cwd()
    os.chdir(folder)
    try:
        result = CliRunner().invoke(main, words[1:], env={"COLUMNS": "100"}, catch_exceptions=False)
    finally:
        os.chdir(here)
    # A plan that is judged flawed ends with 1; anything else that is shown must have worked.
    assert result.exit_code == (1 if words[1] == "check" else 0), result.output
    return "\n".join(line.rstrip() for line in result.output.splitlines()) + "\n"


def _shown(printed: str, shown: str) -> str:
    """Return the output as the README shows it: whole, or its head where the README stops with three dots."""
    if not shown.rstrip().endswith("..."):
        return printed
    lines = shown.rstrip("\n").splitlines()[:-1]
    return "\n".join(printed.splitlines()[: len(lines)]) + "\n...\n"


def test_commands_print_what_the_readme_shows(tmp_path: Path) -> None:
    text = README.read_text(encoding="utf-8")
    found = list(BLOCK.finditer(text))
    assert found
    if os.environ.get("WASHLORE_UPDATE_README"):
        text = BLOCK.sub(
            lambda m: f"```console\n$ {m['command']}\n{_shown(_run(m['command'], tmp_path), m['output'])}```", text
        )
        README.write_text(text, encoding="utf-8")
        return
    for match in found:
        assert _shown(_run(match["command"], tmp_path), match["output"]) == match["output"], match["command"]


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_is_shown(name: str) -> None:
    assert f"washlore {name}" in README.read_text(encoding="utf-8")


def shares() -> dict[str, int]:
    """Return how many rows of the tables rest on what kind of source."""
    counts: Counter[str] = Counter()
    for row_type in TABLES:
        for row in table(row_type).values():
            kind = table(Source)[row.source].kind
            recalled = "recalled" in row.note
            counts["memory" if kind == "memory" or recalled else "practice" if kind == "practice" else "published"] += 1
    return dict(counts)


def test_the_readme_states_the_shares_of_sources() -> None:
    counts = shares()
    whole = sum(counts.values())
    line = (
        f"{whole:,} rows: {100 * counts['published'] / whole:.0f} % name a published source, "
        f"{100 * counts['practice'] / whole:.0f} % are common practice, {100 * counts['memory'] / whole:.0f} % are from memory"
    )
    text = README.read_text(encoding="utf-8")
    if os.environ.get("WASHLORE_UPDATE_README"):
        text = re.sub(r"[\d,]+ rows: \d+ % name .*? from memory", line, text, flags=re.DOTALL)
        README.write_text(text, encoding="utf-8")
    assert line in text


def test_every_row_has_a_source() -> None:
    for row_type in TABLES:
        for key, row in table(row_type).items():
            assert row.source in table(Source), (row_type.__name__, key)
