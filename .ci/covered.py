"""Print how much of rules/ and knowledge/ the tests run: lines and branches of each, and the files that lack most.

Fails where a package has less than it should.

python .ci/covered.py          reads .coverage of this folder, where `.ci/fresh.py coverage` has left it
"""

import json
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

PACKAGES = ("rules", "knowledge")
MOST_FILES = 15
WANTED = 95.0


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "coverage.json"
        subprocess.run([sys.executable, "-m", "coverage", "json", "-q", "-o", str(path)], check=True)
        files = json.loads(path.read_text())["files"]
    short = []
    for package in PACKAGES:
        total: Counter[str] = Counter()
        for file, found in files.items():
            if Path(file).parts[0] == package:
                total.update({k: v for k, v in found["summary"].items() if k.startswith(("num", "covered_"))})
        lines = 100 * total["covered_lines"] / total["num_statements"]
        branches = 100 * total["covered_branches"] / total["num_branches"]
        print(
            f"{package:10} {lines:5.1f} % of {total['num_statements']} lines, {branches:5.1f} % of {total['num_branches']} branches"
        )
        if min(lines, branches) < WANTED:
            short.append(package)
    lacking = {f: d["summary"]["missing_lines"] + d["summary"]["missing_branches"] for f, d in files.items()}
    for file in sorted(lacking, key=lambda f: -lacking[f])[:MOST_FILES]:
        gaps = [*map(str, files[file]["missing_lines"]), *(f"{a}->{b}" for a, b in files[file]["missing_branches"])]
        print(f"  {file}: {', '.join(gaps[:20])}{' ...' if len(gaps) > 20 else ''}")
    if short:
        raise SystemExit(f"less than {WANTED:g} % of {' and '.join(short)}")


if __name__ == "__main__":
    main()
