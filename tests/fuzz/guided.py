"""Let a coverage-guided fuzzer look for inputs that break washlore.

    pip install atheris
    python tests/fuzz/guided.py plans --minutes 20 --keep found.jsonl

Kinds and failures are those of ``fuzz.py``. It begins with the texts of ``corpus.toml`` and, with ``--drawn``, with that many
that ``inputs.py`` draws; the fuzzer changes them so that they reach further lines and branches of washlore. A failure does
not stop it; one of each place in the source is kept. With ``--corpus`` what it finds new ways with is kept in that folder.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import random
import sys
import tempfile
import tomllib
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))
import inputs
from files import DRAWS

# Watched line by line the program takes about this many times as long.
WATCHED_SLOWS = 3


def fill(folder: Path, kind: str, drawn: int) -> None:
    """Write the texts to begin with into a folder, one a file, and the words of the trade beside it."""
    texts = list(tomllib.loads(Path(__file__).with_name("corpus.toml").read_text(encoding="utf-8"))[kind])
    for n in range(drawn):
        given = DRAWS[kind](random.Random(f"{kind} {n}"))
        if kind == "tables":
            given = ("[" if given[1] == "toml" else ",") + given[0]
        texts.append("\n".join(given) if isinstance(given, list) else given)
    for text in texts:
        data = text.encode("utf-8", "replace")
        (folder / hashlib.sha1(data).hexdigest()).write_bytes(data)
    words = {word for word in (*inputs.things(), *inputs.VERBS, *inputs.LINKS, *inputs.NOISE) if 1 < len(word) < 40}
    lines = ["".join(f"\\x{byte:02x}" for byte in word.encode()) for word in sorted(words)]
    (folder.parent / "words").write_text("".join(f'"{line}"\n' for line in lines), encoding="ascii")


def main() -> None:
    """Run the fuzzer for the minutes asked for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("kind", choices=DRAWS)
    parser.add_argument("--minutes", type=float, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--drawn", type=int, default=200, help="how many drawn inputs it begins with")
    parser.add_argument("--judge", type=float, default=0.02, help="the share of readable plans that are judged")
    parser.add_argument("--plan", type=float, default=0.02, help="the share of molecules and mixtures that are planned")
    parser.add_argument("--keep", type=Path, help="a file to which failures are added")
    parser.add_argument("--corpus", type=Path, help="a folder for the inputs that reached something new")
    given = parser.parse_args()
    try:
        import atheris
    except ImportError:
        raise SystemExit(
            "The coverage-guided fuzzer needs atheris: pip install atheris. Without it, fuzz.py tries random inputs."
        ) from None
    with atheris.instrument_imports(include=["washlore"]):
        import targets

        targets.SLOWEST_S *= WATCHED_SLOWS
        target = targets.targets(given.judge, given.plan)[given.kind]
    seen: set[str] = set()
    tried = 0

    def one(data: bytes) -> None:
        nonlocal tried
        tried += 1
        text = data.decode("utf-8", "replace")
        trial = targets.tried(target, target.from_text(text), random.Random(data))
        if trial.trouble and trial.where not in seen:
            seen.add(trial.where)
            record = {
                "kind": given.kind,
                "given": text,
                "trouble": trial.trouble,
                "where": trial.where,
                "cpu_s": trial.cpu_s,
            }
            line = json.dumps(record, ensure_ascii=True)
            print(f"found after {tried}: {line}", flush=True)
            if given.keep:
                with given.keep.open("a", encoding="utf-8") as file:
                    file.write(line + "\n")

    with tempfile.TemporaryDirectory() as name:
        begin, grown = Path(name) / "begin", given.corpus or Path(name) / "grown"
        begin.mkdir()
        grown.mkdir(exist_ok=True)
        fill(begin, given.kind, given.drawn)
        settings = {
            "max_total_time": round(60 * given.minutes), "seed": given.seed, "dict": Path(name) / "words",
            "max_len": 4000, "timeout": 60, "rss_limit_mb": 2000, "report_slow_units": 60, "print_final_stats": 1,
            "artifact_prefix": f"{name}/",
        }  # fmt: skip
        # The fuzzer leaves its process without a word to Python, so a child has it and the folder is put away here.
        if child := os.fork():
            code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        else:
            atheris.Setup([sys.argv[0], str(grown), str(begin), *(f"-{k}={v}" for k, v in settings.items())], one)
            atheris.Fuzz()
    raise SystemExit(code)


if __name__ == "__main__":
    main()
