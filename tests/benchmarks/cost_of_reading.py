"""What reading costs as a text grows: the time of a whole hostile text as a multiple of its four quarters.

    python tests/benchmarks/cost_of_reading.py [--short]

Near 1 is linear, near 4 quadratic. A benchmark, not a timed test.
"""

from __future__ import annotations

import sys
import time

from washlore.rules.reading import read_plan

PIECES = ("a", "1,", "a-", "wash ", "water, ", "wash with water and ", "\n- ", "1:", "pH ", "dried, filtered, ")
LENGTH = 28_000


def _seconds(text: str) -> float:
    begun = time.process_time()
    read_plan(text)
    return time.process_time() - begun


def main() -> None:
    """Print the multiple for each kind of text."""
    read_plan("wash with water")
    length = LENGTH // 8 if "--short" in sys.argv else LENGTH
    for piece in PIECES:
        text = piece * (length // len(piece))
        whole = _seconds(text)
        quarters = sum(_seconds(text[: len(text) // 4]) for _ in range(4))
        print(f"{piece!r:25} {whole:6.2f} s   {whole / max(quarters, 1e-9):4.1f} x its quarters")


if __name__ == "__main__":
    main()
