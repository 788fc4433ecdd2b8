"""A class of 200 invented plans with an answer key: verdicts agree, seeded hazards are found, and no hazard is made up."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from demo_class import Plan, demo_class, write

from washlore.cli.main import main

COUNT = 200
AGREEMENT = 0.97


@pytest.fixture(scope="module")
def reviewed(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[Plan], dict[int, dict], Path]:
    folder = tmp_path_factory.mktemp("demo")
    plans = demo_class(COUNT)
    write(folder, plans)
    out = folder / "out"
    result = CliRunner().invoke(
        main,
        ["review", str(folder / "lab.toml"), str(folder / "class.csv"), "--out", str(out), "--table", "jsonl"],
    )
    assert result.exit_code == 0, result.output
    lines = (json.loads(line) for line in (out / "results.jsonl").read_text("ascii").splitlines())
    return plans, {row["row"]: row for row in lines if row["verdict"] != "no answer"}, folder


def test_every_plan_came_back_once(reviewed):
    plans, rows, _ = reviewed
    assert sorted(rows) == [plan.row for plan in plans]
    assert {(row["student"], row["question"]) for row in rows.values()} == {(p.student, p.question) for p in plans}


def test_verdicts_agree_with_the_key(reviewed):
    plans, rows, _ = reviewed
    wrong = [
        (p.row, p.misconception, rows[p.row]["verdict"]) for p in plans if rows[p.row]["verdict"] not in p.verdicts
    ]
    assert len(wrong) <= (1 - AGREEMENT) * COUNT, wrong


def test_every_seeded_hazard_is_found_and_none_is_made_up(reviewed):
    plans, rows, _ = reviewed
    assert sum(plan.hazard for plan in plans) >= 15
    for plan in plans:
        assert bool(rows[plan.row]["hazards"]) == plan.hazard, (plan, rows[plan.row]["hazards"])


def test_the_misconception_is_named(reviewed):
    plans, rows, _ = reviewed
    missed = [
        (p.row, p.misconception, sorted(f["rule"] for f in rows[p.row]["findings"]))
        for p in plans
        if p.rules and not {f["rule"] for f in rows[p.row]["findings"]} & set(p.rules)
    ]
    assert len(missed) <= (1 - AGREEMENT) * sum(bool(p.rules) for p in plans), missed


def test_marks_follow_the_key(reviewed):
    plans, rows, _ = reviewed
    means = {}
    for kind in ("sound", "flawed", "dangerous"):
        marks = [
            rows[p.row]["mark"]
            for p in plans
            if (kind == "sound") == (not p.rules) and (kind == "sound" or kind in p.verdicts)
        ]
        means[kind] = sum(marks) / len(marks)
    assert means["sound"] > 9 > means["flawed"] > means["dangerous"]


def test_the_key_is_written_beside_the_class(reviewed):
    plans, _, folder = reviewed
    with (folder / "key.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [r["misconception"] for r in rows] == [p.misconception for p in plans]
