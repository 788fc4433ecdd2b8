"""What the terminal shows: the scheme, three depths, plain text, colour only as an addition; and a judged plan's page."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from washlore.cli.common import show
from washlore.cli.main import COMMANDS, main

PLAN = "Washed with sat. NaHCO3 (2 x 15 mL), then 1 M NaOH, and brine, evaporated."


def run(*args: str, **options: object) -> str:
    result = CliRunner().invoke(main, list(args), catch_exceptions=False, **options)
    assert result.exit_code in (0, 1), result.output
    return result.output


@pytest.mark.parametrize("columns", ["60", "80", "120"])
def test_the_scheme_is_drawn_within_the_width(columns):
    lines = run("plan", "ester", env={"COLUMNS": columns}).splitlines()
    start = lines.index("Where it goes")
    drawn = lines[start : lines.index("", start)]
    assert any(line.startswith("  ├─► waste W1") for line in drawn)
    assert any(line.startswith("  └─► keep P") for line in drawn)
    assert max(map(len, lines)) < int(columns)


def test_a_water_that_is_extracted_again_joins_the_main_line_in_the_scheme():
    printed = run("plan", "--product", "acetanilide", "--amount", "10 mmol", "--solvent", "DMF; 30 mL")
    assert "back to the first" in printed and "keep P: crude product" in printed


def test_a_terminal_without_the_signs_gets_others():
    code = "from washlore.cli.main import main; main()"
    command = [sys.executable, "-c", code, "plan", "ester"]
    done = subprocess.run(command, capture_output=True, env={"PYTHONIOENCODING": "cp1252"}, timeout=120, check=True)
    text = done.stdout.decode("cp1252")
    drawn = text[text.index("Where it goes") : text.index("What to expect")]
    assert "|--> waste W1" in drawn and "?" not in drawn


def test_plain_text_has_no_columns_and_nothing_drawn():
    text = run("plan", "ester", "--plain")
    assert not set("│├└─►▼") & set(text)
    assert "Where it goes\n" not in text
    assert "left: 0.0" in text and "where it goes: aqueous layer of step 2" in text


def test_depths_say_more_of_the_same_plan():
    texts = {depth: run("plan", "ester", "--for", depth) for depth in ("student", "chemist", "instructor")}
    equation = "C8H8O2 + HCO3- -> C8H7O2-"
    for depth, text in texts.items():
        flat = " ".join(text.split())
        assert (equation in flat) == (depth != "chemist")
        assert ("Students often think" in flat) == (depth == "instructor")
    assert len(texts["chemist"]) < len(texts["student"]) < len(texts["instructor"])


def test_colour_is_an_addition(monkeypatch):
    text = "Title\n\nTake care\n  - of this.\n\nWhat to do\n  1. That."
    said: list[str] = []
    monkeypatch.setattr(click, "echo", lambda message: said.append(message))
    for name in ("NO_COLOR", "TERM"):
        monkeypatch.delenv(name, raising=False)
    show(text)
    monkeypatch.setenv("NO_COLOR", "1")
    show(text)
    monkeypatch.delenv("NO_COLOR")
    show(text, plain=True)
    assert "\x1b[" in said[0] and click.unstyle(said[0]) == text
    assert said[1] == said[2] == text


def test_a_pipe_gets_no_colour():
    assert "\x1b[" not in run("plan", "ester")


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_help_shows_an_example(name):
    assert f"washlore {name} " in run(name, "--help").split("\n", 1)[1]


def test_alone_it_shows_where_to_start():
    text = run()
    assert "washlore plan ester" in text and "--report" in text


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_shells_can_complete(shell):
    code = "from washlore.cli.main import main; main()"
    env = {"_WASHLORE_COMPLETE": f"{shell}_complete", "COMP_WORDS": "washlore pl", "COMP_CWORD": "1"}
    if shell == "fish":
        env["COMP_CWORD"] = "pl"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=env, timeout=60)
    assert "plan" in done.stdout, done.stderr


def test_a_plan_without_a_report_loads_no_templates_and_no_plots():
    code = "import sys; from washlore.cli.main import main\ntry: main()\nexcept SystemExit: print('@@', *sys.modules)"
    for args in (("plan", "ester"), ("plan", "ester", "--format", "json"), ("check", "ester", "--plan", PLAN)):
        done = subprocess.run([sys.executable, "-c", code, *args], capture_output=True, text=True, timeout=120)
        loaded = set(done.stdout.rpartition("@@")[2].split())
        assert loaded and loaded.isdisjoint({"jinja2", "matplotlib", "markupsafe", "rdkit.Chem.Draw"}), args


def test_a_judged_plan_has_a_page(opened, tmp_path):
    path = tmp_path / "check.html"
    text = run("check", "ester", "--plan", f"<script>alert(1)</script> {PLAN}", "--against", "--report", str(path))
    assert f"Wrote {path}." in text
    for width in (360, 1280):
        seen = opened(path, viewport={"width": width, "height": 800})
        assert seen.overflow() == [] and seen.faults() == [] and seen.complaints == []
    assert seen.page.locator("script").count() == 0
    assert "1 M NaOH" in seen.page.inner_text("#read ~ table")


def test_a_judged_plan_is_written_as_markdown_and_not_as_a_chart(tmp_path: Path):
    run("check", "ester", "--plan", PLAN, "--report", str(tmp_path / "c.md"))
    text = (tmp_path / "c.md").read_text(encoding="utf-8")
    assert text.startswith("# ") and "## As read" in text and "Instead" in text
    result = CliRunner().invoke(main, ["check", "ester", "--plan", PLAN, "--report", str(tmp_path / "c.svg")])
    assert result.exit_code == 2 and "no flow chart" in result.output
    unread = run_code("check", "ester", "--plan", "nothing of the kind", "--report", str(tmp_path / "u.html"))
    assert unread == 2 and (tmp_path / "u.html").exists()


def run_code(*args: str) -> int:
    return CliRunner().invoke(main, list(args), catch_exceptions=False).exit_code
