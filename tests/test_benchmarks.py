"""The benchmark runs, short; what it prints is a measurement, not a test."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def test_the_benchmark_runs() -> None:
    script = Path(__file__).resolve().parent / "benchmarks" / "cost_of_numbers.py"
    printed = subprocess.run([sys.executable, script, "--short"], capture_output=True, text=True, check=True).stdout
    assert "floor" in printed and "ledger" in printed
