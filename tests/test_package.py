"""What the package says of itself: bounds of every dependency, of which the lowest are tried, and what is shipped."""

from __future__ import annotations

import configparser
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
CONFIG = configparser.ConfigParser(interpolation=None)
CONFIG.read(ROOT / "setup.cfg", encoding="utf-8")
EXTRAS = CONFIG["options.extras_require"]
# Tools that look at the source are no part of what runs.
TOOLS = {"ruff", "mypy", "pandas-stubs"}


def required(text: str) -> dict[str, str]:
    """Return the bounds of each library that a list of requirements names."""
    lines = [line.strip() for line in text.splitlines()]
    found = (re.match(r"[A-Za-z0-9_.-]+", line) for line in lines if line and not line.startswith("%"))
    return {m[0].lower(): m.string[m.end() :] for m in found if m}


EVERYTHING = required("\n".join([CONFIG["options"]["install_requires"], *EXTRAS.values()]))


def numbers(version: str) -> tuple[int, ...]:
    """Return a version as numbers, without trailing zeros."""
    parts = [int(part) for part in version.split(".")]
    while parts and not parts[-1]:
        parts.pop()
    return tuple(parts)


@pytest.mark.parametrize("name", sorted(EVERYTHING))
def test_every_dependency_has_a_lower_and_an_upper_bound(name):
    bounds = re.fullmatch(r">=([\d.]+),<([\d.]+)", EVERYTHING[name])
    assert bounds and numbers(bounds[1]) < numbers(bounds[2])


def test_the_lowest_versions_that_are_tried_are_the_lowest_allowed():
    text = (ROOT / ".ci" / "lowest.txt").read_text(encoding="utf-8")
    tried = dict(line.lower().split("==") for line in text.splitlines() if line and not line.startswith("#"))
    assert tried.keys() == EVERYTHING.keys() - TOOLS
    for name, version in tried.items():
        assert numbers(EVERYTHING[name].removeprefix(">=").split(",")[0]) == numbers(version), name


def test_all_that_lies_in_the_packages_is_shipped():
    listed = set(CONFIG["options"]["packages"].split())
    data = {
        package: [p.strip() for p in patterns.split(",")]
        for package, patterns in CONFIG["options.package_data"].items()
    }
    for top in ("knowledge", "rules", "cli"):
        for path in (ROOT / top).rglob("*"):
            if not path.is_file() or "__pycache__" in path.parts:
                continue
            package = ".".join(("washlore", *path.relative_to(ROOT).parent.parts))
            assert package in listed, path
            shipped = path.suffix == ".py" or any(path.match(pattern) for pattern in data.get(package, ()))
            assert shipped, f"{path.relative_to(ROOT)} is in no wheel"
        assert (ROOT / top / "py.typed").is_file()
