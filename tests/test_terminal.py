"""What the terminal shows: the scheme, three depths, plain text, colour only as an addition; and a judged plan's page."""

from __future__ import annotations

import json
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
    for width in (360, 768, 1280):
        seen = opened(path, viewport={"width": width, "height": 800})
        assert seen.overflow() == [] and seen.faults() == [] and seen.complaints == []
        assert seen.requests == [path.as_uri()]
    assert seen.page.locator("script").count() == 0
    assert "1 M NaOH" in seen.page.inner_text("#read ~ table")


def test_a_judged_plan_is_written_as_markdown(tmp_path: Path):
    run("check", "ester", "--plan", PLAN, "--report", str(tmp_path / "c.md"))
    text = (tmp_path / "c.md").read_text(encoding="utf-8")
    assert text.startswith("# ") and "## As read" in text and "Instead" in text
    assert "## Where it would go" in text and "waste W1" in text
    unread = run_code("check", "ester", "--plan", "nothing of the kind", "--report", str(tmp_path / "u.html"))
    assert unread == 2 and (tmp_path / "u.html").exists()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_judged_plan_is_drawn_as_ours_is(opened, tmp_path, scheme):
    path = tmp_path / "check.html"
    run("check", "ester", "--plan", PLAN, "--for", "instructor", "--report", str(path))
    made = json.loads(run("check", "ester", "--plan", PLAN, "--format", "json"))
    seen = opened(path, viewport={"width": 360, "height": 800}, color_scheme=scheme)
    assert seen.overflow() == [] and seen.faults() == []
    page = seen.page
    assert page.locator("svg.scheme").count() == 1
    assert page.locator("svg.funnel").count() == len({c["step"] for c in made["contacts"]}) == 3
    assert page.locator("svg.chart").count() == 2
    assert page.locator("svg.structure").count() >= 2  # the proton that passes, drawn before and after
    assert "Students often think" in page.inner_text("#main")
    shown = page.evaluate("[...document.querySelectorAll('data')].map(e => +e.value)")
    assert len(shown) > 20 and set(shown) <= numbers_of(made)


def numbers_of(value: object) -> set[float]:
    if isinstance(value, dict):
        return {n for inner in value.values() for n in numbers_of(inner)}
    if isinstance(value, list):
        return {n for inner in value for n in numbers_of(inner)}
    return {float(value)} if isinstance(value, int | float) and not isinstance(value, bool) else set()


def test_a_judged_plan_has_a_chart_alone_where_it_can_be_followed(tmp_path):
    run("check", "ester", "--plan", PLAN, "--report", str(tmp_path / "c.svg"))
    assert (tmp_path / "c.svg").read_text(encoding="utf-8").startswith("<svg")
    assert run_code("check", "ester", "--plan", "nothing of the kind", "--report", str(tmp_path / "u.svg")) == 2
    assert not (tmp_path / "u.svg").exists()


def test_a_judged_plan_in_three_depths_and_plain():
    texts = {d: run("check", "ester", "--plan", PLAN, "--for", d) for d in ("student", "chemist", "instructor")}
    flat = {depth: " ".join(text.split()) for depth, text in texts.items()}
    assert [("HCO3- -> C8H7O2-" in flat[d]) for d in texts] == [True, False, True]
    assert [("Students often think" in flat[d]) for d in texts] == [False, False, True]
    plain = run("check", "ester", "--plan", PLAN, "--plain")
    assert "├─► waste W1" in texts["chemist"]
    assert not set("│├└─►▼") & set(plain) and "by our plan: " in plain


def test_reasons_read_aloud_are_numbered():
    plain, drawn = run("why", "ester", "2", "--plain"), run("why", "ester", "2")
    assert "\n1.1.1. p-toluic acid" in plain and "\n    - p-toluic acid" in drawn
    assert "    - " not in plain


@pytest.mark.parametrize("columns", ["60", "80", "100", "140"])
def test_no_name_is_broken_in_a_table(columns):
    others = ("4-chlorobenzoic acid", "4-tert-butylphenol", "4-chloroaniline")
    given = [word for name in others for word in ("--with", f"{name}; 5 mmol; product")]
    args = ("plan", "--product", "naphthalene", "--amount", "5 mmol", *given, "--solvent", "ether; 60 mL")
    text = run(*args, env={"COLUMNS": columns})
    told = text[text.index("What to expect") :]
    for name in others:
        assert name in " ".join(told.split())
    assert max(map(len, text.splitlines())) < int(columns)
    assert "over 99.9 % (over 99.9 %)" not in " ".join(text.split())


def run_code(*args: str) -> int:
    return CliRunner().invoke(main, list(args), catch_exceptions=False).exit_code
