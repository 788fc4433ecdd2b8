"""A class of invented students with an answer key: which misconception each plan holds, and so what is to be found.

    python tests/demo_class.py FOLDER [COUNT]

writes ``lab.toml`` (three mixtures), ``class.csv`` and ``key.csv`` into the folder. Each plan is put together from steps,
each step from one of several ways in which people write it; the mistake is made in the steps, before there are words. No
person is meant by any name.
"""

from __future__ import annotations

import csv
import random
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

LAB = """\
title = "A demonstration class, all of it invented"

[[question]]
name = "Ester"
mixture = "ester"
column = "Ester"

[[question]]
name = "Epoxide"
column = "Epoxide"
[question.mixture]
title = "4-chlorostyrene oxide after mCPBA"
[question.mixture.product]
name = "4-chlorostyrene oxide"
smiles = "Clc1ccc(cc1)C1CO1"
amount = "8 mmol"
[[question.mixture.others]]
name = "mCPBA"
amount = "3 mmol"
role = "reagent"
[[question.mixture.others]]
name = "3-chlorobenzoic acid"
smiles = "OC(=O)c1cccc(Cl)c1"
amount = "9 mmol"
role = "by-product"
[question.mixture.reaction]
solvent = "dichloromethane"
volume_ml = 50

[[question]]
name = "Nitrile"
column = "Nitrile"
[question.mixture]
title = "4-phenylbutanenitrile from the bromide and cyanide"
[question.mixture.product]
name = "4-phenylbutanenitrile"
smiles = "N#CCCCc1ccccc1"
amount = "10 mmol"
[[question.mixture.others]]
name = "sodium cyanide"
amount = "4 mmol"
role = "reagent"
[[question.mixture.others]]
name = "triethylamine"
amount = "3 mmol"
role = "base"
[question.mixture.reaction]
solvent = "dichloromethane"
volume_ml = 40
"""

HCL = ("1 M HCl", "1 M hydrochloric acid", "1N HCl", "dilute HCl (1 M)", "1 M aq. HCl")
BICARB = (
    "sat. NaHCO3",
    "saturated sodium bicarbonate",
    "saturated aqueous NaHCO3",
    "sat. sodium hydrogen carbonate solution",
    "satd. NaHCO3 (aq)",
)
CARBONATE = ("10% Na2CO3", "10 % sodium carbonate", "10% aq. sodium carbonate")
SULFITE = ("10% Na2SO3", "10 % sodium sulfite", "10% aqueous sodium sulfite")
BRINE = ("brine", "saturated brine", "sat. NaCl", "saturated sodium chloride solution")
WATER = ("water", "distilled water", "H2O")
MGSO4 = ("MgSO4", "magnesium sulfate", "anhydrous MgSO4", "anhydrous magnesium sulphate")
NA2SO4 = ("Na2SO4", "sodium sulfate", "anhydrous Na2SO4")


@dataclass(frozen=True)
class Plan:
    """One plan: whose, for which question, the misconception, the words, the verdicts and rules that the key expects."""

    row: int
    student: str
    question: str
    misconception: str
    text: str
    verdicts: tuple[str, ...]
    rules: tuple[str, ...]

    @property
    def hazard(self) -> bool:
        """Whether a hazard was put in."""
        return self.verdicts == ("dangerous",)


Step = tuple[str, tuple[str, ...], int, int]  # what is done, with what, repeats, mL


def wash(what: tuple[str, ...], repeats: int, volume: int) -> Step:
    """Return a wash."""
    return ("wash", what, repeats, volume)


def finish(dry: bool = True, early: bool = False) -> list[Step]:
    """Return the end of a workup: dried or not."""
    return (
        [("dry", MGSO4 + NA2SO4, 1, 0), ("filter", (), 1, 0), ("evaporate", (), 1, 0)]
        if dry
        else [("evaporate", (), 1, 0)]
    )


# Each question: what a sound plan does, and by name the mistakes: steps, verdicts that are right, rules one of which must
# fire. The chemistry of the key is common practice: Zubrick; Vogel; Prudent Practices in the Laboratory (for the hazards).
SOUND = ("ok", "minor")
QUESTIONS: dict[str, dict[str, tuple[list[Step], tuple[str, ...], tuple[str, ...]]]] = {
    "Ester": {
        "none": ([wash(HCL, 2, 15), wash(BICARB, 2, 15), wash(BRINE, 1, 15), *finish()], SOUND, ()),
        "no acid wash": (
            [wash(BICARB, 2, 15), wash(BRINE, 1, 15), *finish()],
            ("flawed",),
            ("nothing-touches-it", "base-for-a-base", "part-of-it-stays"),
        ),
        "brine does it all": (
            [wash(BRINE, 2, 20), *finish()],
            ("flawed",),
            ("brine-removes-nothing", "nothing-touches-it"),
        ),
        "not dried": (
            [wash(HCL, 2, 15), wash(BICARB, 2, 15), wash(BRINE, 1, 15), *finish(dry=False)],
            ("flawed", "minor"),
            ("not-dried",),
        ),
        "dried before the last wash": (
            [
                wash(HCL, 2, 15),
                ("dry", MGSO4, 1, 0),
                ("filter", (), 1, 0),
                wash(BICARB, 2, 15),
                wash(BRINE, 1, 15),
                ("evaporate", (), 1, 0),
            ],
            ("flawed", "minor"),
            ("dried-too-early", "not-dried"),
        ),
        "keeps the upper layer of dichloromethane": (
            [("wash upper", HCL, 2, 15), wash(BICARB, 2, 15), wash(BRINE, 1, 15), *finish()],
            ("flawed",),
            ("heavier-layer-below", "keep-the-products-layer"),
        ),
    },
    "Epoxide": {
        "none": ([wash(SULFITE, 2, 20), wash(CARBONATE, 2, 20), wash(BRINE, 1, 20), *finish()], SOUND, ()),
        "peracid not destroyed": ([wash(BRINE, 2, 20), *finish()], ("dangerous",), ("oxidant-is-concentrated",)),
        "acid on the epoxide": (
            [wash(SULFITE, 2, 20), wash(HCL, 2, 20), wash(BICARB, 3, 20), wash(BRINE, 1, 20), *finish()],
            ("flawed",),
            ("acid-breaks-the-product",),
        ),
        "keeps the water": (
            [("wash water kept", SULFITE, 2, 20), wash(CARBONATE, 2, 20), wash(BRINE, 1, 20), *finish()],
            ("flawed",),
            ("keep-the-products-layer", "heavier-layer-below"),
        ),
    },
    "Nitrile": {
        "none": (
            [wash(CARBONATE, 2, 15), wash(WATER, 2, 15), wash(HCL, 2, 15), wash(BRINE, 1, 15), *finish()],
            SOUND,
            (),
        ),
        "acid on cyanide": ([wash(HCL, 2, 15), wash(BRINE, 1, 15), *finish()], ("dangerous",), ("acid-frees-poison",)),
        "nothing for the amine": (
            [wash(CARBONATE, 2, 15), wash(BRINE, 1, 15), *finish()],
            ("flawed",),
            ("nothing-touches-it", "base-for-a-base", "part-of-it-stays"),
        ),
    },
}
WEIGHTS = {"none": 3}

WASH = (
    "wash with {size} {what}",
    "washed with {what} ({size})",
    "wash the organic layer with {what} ({size})",
    "shake with {size} of {what} and keep the organic layer",
    "the organic phase was washed with {what}, {size}",
)
UPPER = ("wash with {size} {what} and keep the top layer", "shake with {what} ({size}), then keep the upper layer")
KEPT_WATER = (
    "wash with {size} {what} and keep the aqueous layer",
    "shake with {what} ({size}), discard the organic layer and keep the aqueous layer",
)
DRY = ("dry over {what}", "dried over {what}", "dry with {what}", "dried ({what})")
FILTER = ("filter", "filter off the drying agent", "filtered", "gravity filter")
EVAPORATE = (
    "evaporate on the rotary evaporator",
    "concentrate",
    "remove the solvent on the rotovap",
    "evaporate the solvent under reduced pressure",
    "concentrated in vacuo",
)
FIRST = ("Imagina", "Ficta", "Nonesuch", "Pretenda", "Hypo", "Suppo", "Whimsy", "Mocka", "Dummy", "Notareal")
LAST = (
    "Madeup",
    "Invented",
    "Fictional",
    "Placeholder",
    "Specimen",
    "Exemplar",
    "Nobody",
    "Unreal",
    "Sample",
    "Testcase",
)


def _size(repeats: int, volume: int, rng: random.Random) -> str:
    if repeats == 1:
        return rng.choice((f"{volume} mL", f"1 x {volume} mL"))
    return rng.choice((f"{repeats} x {volume} mL", f"{repeats} × {volume} mL", f"{repeats}x{volume} mL"))


def _phrase(step: Step, rng: random.Random) -> str:
    action, what, repeats, volume = step
    forms = {
        "wash": WASH,
        "wash upper": UPPER,
        "wash water kept": KEPT_WATER,
        "dry": DRY,
        "filter": FILTER,
        "evaporate": EVAPORATE,
    }
    return rng.choice(forms[action]).format(
        what=rng.choice(what) if what else "", size=_size(repeats, volume, rng) if volume else ""
    )


def _prose(phrases: list[str], rng: random.Random) -> str:
    style: Callable[[list[str]], str] = rng.choice((_sentences, _numbered, _lines, _chain))
    return style(phrases)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _sentences(phrases: list[str]) -> str:
    return " ".join(f"{_capital(p)}." for p in phrases)


def _numbered(phrases: list[str]) -> str:
    return "\n".join(f"{n}. {_capital(p)}" for n, p in enumerate(phrases, start=1))


def _lines(phrases: list[str]) -> str:
    return "\n".join(f"- {p}" for p in phrases)


def _chain(phrases: list[str]) -> str:
    return f"{_capital('; '.join(phrases[:-1]))}; then {phrases[-1]}."


def demo_class(count: int = 200, seed: int = 20) -> list[Plan]:
    """Return ``count`` plans, shared among the three questions. The same seed, the same plans."""
    rng = random.Random(seed)
    plans = []
    for number in range(count):
        question = list(QUESTIONS)[number % len(QUESTIONS)]
        kinds = QUESTIONS[question]
        name = rng.choices(list(kinds), [WEIGHTS.get(k, 1) for k in kinds])[0]
        steps, verdicts, rules = kinds[name]
        text = _prose([_phrase(step, rng) for step in steps], rng)
        student = f"{rng.choice(FIRST)} {rng.choice(LAST)} {number + 1}"
        plans.append(Plan(number + 2, student, question, name, text, verdicts, rules))
    return plans


def write(folder: Path, plans: list[Plan]) -> None:
    """Write the assignment, the class and the key into a folder."""
    (folder / "lab.toml").write_text(LAB, encoding="utf-8")
    names = list(QUESTIONS)
    with (folder / "class.csv").open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["Student", *names])
        for plan in plans:
            writer.writerow([plan.student, *(plan.text if plan.question == name else "" for name in names)])
    with (folder / "key.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["row", "student", "question", "misconception", "verdicts", "rules"])
        for plan in plans:
            writer.writerow(
                [
                    plan.row,
                    plan.student,
                    plan.question,
                    plan.misconception,
                    " ".join(plan.verdicts),
                    " ".join(plan.rules),
                ]
            )


if __name__ == "__main__":
    if len(sys.argv) < 2:
        raise SystemExit(__doc__)
    place = Path(sys.argv[1])
    place.mkdir(parents=True, exist_ok=True)
    write(place, demo_class(int(sys.argv[2]) if len(sys.argv) > 2 else 200))
