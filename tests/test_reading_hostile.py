"""Texts that no one means: too long, broken, random; none breaks the reader, and every word of it is accounted for."""

from __future__ import annotations

import json
import random
import time

import pytest
from test_reading import TEXTS

from washlore.rules.judge import consider, judge
from washlore.rules.mixture import build
from washlore.rules.reading import MAX_CHARACTERS, ReadingError, read_plan


def test_too_long_is_refused():
    with pytest.raises(ReadingError, match="characters"):
        read_plan("wash with water. " * 1_000_000)
    with pytest.raises(ReadingError, match="not as text"):
        read_plan(None)  # type: ignore[arg-type]


HOSTILE = {
    "one-word": "a" * MAX_CHARACTERS,
    "digits": "1" * MAX_CHARACTERS,
    "brackets": "(" * MAX_CHARACTERS,
    "arrows": "=" * MAX_CHARACTERS,
    "numbers": "1," * (MAX_CHARACTERS // 2),
    "hyphens": "a-" * (MAX_CHARACTERS // 2),
    "washes": "wash " * (MAX_CHARACTERS // 5),
    "commas": "wash with water" + "," * (MAX_CHARACTERS - 20),
    "one-long-list": "wash with " + "water, " * ((MAX_CHARACTERS - 20) // 7),
    "one-long-sentence": "wash with water and " * (MAX_CHARACTERS // 20),
    "lines": "\n- " * (MAX_CHARACTERS // 3),
    "accents": "e\u0301" * (MAX_CHARACTERS // 2),
    "ratios": "1:" * (MAX_CHARACTERS // 2),
    "ph": "pH " * (MAX_CHARACTERS // 3),
    "added": "water was added and " * (MAX_CHARACTERS // 20),
    "adjusted": "pH adjusted with HCl " * (MAX_CHARACTERS // 21),
    "filtered": "dried, filtered, " * (MAX_CHARACTERS // 17),
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_text_of_any_length_is_read_or_set_aside(text):
    """What it costs is measured by tests/benchmarks/cost_of_reading.py; here every position must be accounted for."""
    plan = read_plan(text)
    assert all(0 <= s.start <= s.end <= len(text) for s in (*plan.steps, *plan.unread))


def test_no_text_breaks_it():
    pieces = [w for t in TEXTS for w in t[1].split()] + [
        "\x00",
        "\ud800",
        "\u202e",
        "½",
        "٣",
        "x",
        "3",
        "(",
        ")",
        ".",
        ",",
        "\n",
    ]
    chance = random.Random(7)
    for _ in range(300):
        text = " ".join(chance.choice(pieces) for _ in range(chance.randint(1, 40)))
        plan = read_plan(text)
        assert all(text[s.start : s.end] == s.words for s in plan.steps)
        assert all(text[u.start : u.end] == u.words for u in plan.unread)
        json.dumps([s.volume_ml for s in plan.steps], allow_nan=False)


def test_what_is_beyond_two_hundred_steps_is_told_as_not_read():
    plan = read_plan("wash with water, brine, " * 300)
    assert len(plan.steps) == 200
    assert any("200 steps" in u.reason and len(u.words) > 100 for u in plan.unread)
    assert not any("200 steps" in u.reason for u in read_plan("wash with water, brine, " * 90).unread)


def test_a_long_tail_of_empty_lines_costs_the_judge_nothing():
    """It once looked for items of a list from the start of each empty line to the end of them all."""
    flask = build(
        "CCOC(=O)c1ccccc1", [("pyridine", "5 mmol", None)], product_amount="10 mmol", solvents=[("DCM", 40.0)]
    )
    thought = consider(flask, 4)
    begun = time.process_time()
    judge(read_plan("washed with brine, dried over MgSO4, filtered, evaporated." + "\n" * 29_000), thought)
    judge(read_plan("What to do\n" + "\n" * 29_000 + "  1. Wash with brine.\n"), thought)
    assert time.process_time() - begun < 2
