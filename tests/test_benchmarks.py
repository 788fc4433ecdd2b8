"""The benchmark runs, short; what it prints is a measurement, not a test."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest


def test_the_benchmark_runs() -> None:
    script = Path(__file__).resolve().parent / "benchmarks" / "cost_of_numbers.py"
    printed = subprocess.run([sys.executable, script, "--short"], capture_output=True, text=True, check=True).stdout
    assert "floor" in printed and "ledger" in printed


def test_the_cost_of_plans_is_split_and_its_growth_fitted() -> None:
    script = Path(__file__).resolve().parent / "benchmarks" / "cost_of_plans.py"
    printed = subprocess.run([sys.executable, script, "--short"], capture_output=True, text=True, check=True).stdout
    for word in ("floor", "parsing", "perception", "numbers", "inference", "rendering"):
        assert word in printed
    assert printed.count("exponent") == 3


@pytest.mark.skipif(os.name != "posix", reason="measures processes as POSIX does")
def test_the_cost_of_starting_is_compared_with_bare_imports() -> None:
    script = Path(__file__).resolve().parent / "benchmarks" / "cost_of_start.py"
    printed = subprocess.run([sys.executable, script, "--short"], capture_output=True, text=True, check=True).stdout
    for word in ("--help", "a new flask", "asked before", "x click", "x libraries"):
        assert word in printed


def test_the_cost_of_a_page_is_printed() -> None:
    script = Path(__file__).resolve().parent / "benchmarks" / "cost_of_pages.py"
    printed = subprocess.run([sys.executable, script], capture_output=True, text=True, check=True).stdout
    assert "beyond imports" in printed and "kB" in printed


@pytest.mark.skipif(os.name != "posix", reason="measures processes as POSIX does")
def test_the_cost_of_a_review_is_compared_with_its_floor() -> None:
    script = Path(__file__).resolve().parent / "benchmarks" / "cost_of_review.py"
    printed = subprocess.run([sys.executable, script, "--short"], capture_output=True, text=True, check=True).stdout
    for word in ("floor", "different plans, one process", "two processes", "peak memory"):
        assert word in printed


def test_the_cost_of_judging_is_told_beside_the_ledger() -> None:
    script = Path(__file__).resolve().parent / "benchmarks" / "cost_of_judging.py"
    printed = subprocess.run([sys.executable, script, "--short"], capture_output=True, text=True, check=True).stdout
    assert "95 % below" in printed and "times as long" in printed


def test_the_growth_of_reading_is_printed_for_each_kind_of_text() -> None:
    script = Path(__file__).resolve().parent / "benchmarks" / "cost_of_reading.py"
    printed = subprocess.run([sys.executable, script, "--short"], capture_output=True, text=True, check=True).stdout
    assert printed.count("x its quarters") >= 5
