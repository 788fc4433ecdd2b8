"""Hostile and half-sensible inputs, drawn from a random generator: plans, structures, names, mixture files, tables, options.

Half of each kind is built from a grammar, so that it gets past the first check; the rest is that, damaged.
"""

from __future__ import annotations

import json
import random
import string
from functools import cache

from rdkit import Chem, rdBase

from washlore.knowledge.rows import Desiccant, Reagent, Solution, Solvent, table

ODD = [
    "\x00",
    "\u200b",
    "\u202e",
    "\ufeff",
    "\u00a0",
    "µ",
    "×",
    "–",
    "²",
    "½",
    "ß",
    "İ",
    "漢",
    "🙂",
    "\r",
    "\t",
    "\x1b[31m",
    "'",
    '"',
    "\\",
]
ENDLESS = 0.03  # the share of damaged texts in which something goes on and on
VERBS = (
    "washed with", "was washed successively with", "extracted with", "wash twice with", "quenched with", "was poured into",
    "diluted with", "dried over", "filtered through", "acidified to", "basified with", "neutralised with", "rinsed with",
    "concentrated", "evaporated", "was partitioned between", "back-extracted with", "adjusted to", "separate and discard",
    "combined", "saturated with", "wasche mit", "laver avec", "lavar con", "triturated with", "stirred with", "cooled to",
)  # fmt: skip
LINKS = (
    " and ",
    ", ",
    ", then ",
    "; ",
    " followed by ",
    " (",
    ") ",
    ". ",
    ".\n",
    "\n- ",
    "\n2. ",
    " until ",
    " or ",
    " -> ",
    " | ",
)
NOISE = (
    "the organic layer", "the aqueous layer", "the combined extracts", "rotavap", "in vacuo", "over night", "the flask",
    "carefully", "at 0 °C", "for 10 min", "(caution: gas)", "TLC showed", "to give the title compound (85%)", "x3", "3 times",
    "flask A", "(flask B)", "Beaker 2:", "the acid extracts", "the NaOH layer", "the original ether layer", "\nOrganic layer:\n",
    "brine", "sat. aq.", "ice", "bottom layer", "top layer kept", "pH 2", "pH 7-8", "see SI", "1.2 equiv", "δ 7.26 (s, 1H)",
)  # fmt: skip
UNITS = (
    " mL",
    "ml",
    " L",
    " µL",
    " mL each",
    " vol",
    " volumes",
    "",
    " g",
    " M",
    " N",
    " %",
    " wt%",
    " mol/L",
    " portions",
)


@cache
def things() -> tuple[str, ...]:
    """Return what plans may name: solutions, solvents, drying agents and reagents, by name and alias."""
    rows = [*table(Solution).values(), *table(Solvent).values(), *table(Desiccant).values(), *table(Reagent).values()]
    names = [row.name for row in rows]
    for row in rows:
        names += [alias for alias in getattr(row, "aliases", ()) if isinstance(alias, str)]
    return tuple(dict.fromkeys(names))


def number(rng: random.Random) -> str:
    """Return a number as people, and nobody, would write it."""
    whole = rng.choice((rng.randint(0, 20), rng.randint(0, 500), rng.randint(0, 10**9)))
    return rng.choice(
        (str(whole), f"{whole}.{rng.randint(0, 99)}", f"{whole},5", f"2 x {whole}", f"3×{whole}", f"{whole}-{whole + 5}",
         f"-{whole}", f"{whole}e{rng.randint(0, 400)}", "1/2", "ca. 20", "~50", "two", "nan", "inf", "٣", "1 000", "0")
    )  # fmt: skip


def damaged(text: str, rng: random.Random) -> str:
    """Return the text with a few characters lost, doubled, swapped or put in; now and then one goes on for thousands."""
    chars = list(text)
    if rng.random() < ENDLESS:
        place = rng.randrange(len(chars) + 1)
        piece = chars[place : place + rng.randint(1, 12)]
        if rng.random() < 0.5:
            piece = [rng.choice((*ODD, *string.punctuation, *" \n1a"))]
        chars[place:place] = piece * (rng.choice((400, 4_000, 25_000)) // max(1, len(piece)))
    for _ in range(rng.randint(1, 6)):
        if not chars:
            break
        place = rng.randrange(len(chars))
        what = rng.randrange(6)
        if what == 0:
            del chars[place : place + rng.randint(1, 8)]
        elif what == 1:
            chars[place:place] = chars[place : place + rng.randint(1, 30)]
        elif what == 2:
            chars[place] = rng.choice(string.printable)
        elif what == 3:
            chars.insert(place, rng.choice(ODD))
        elif what == 4:
            chars.insert(place, rng.choice("([{<)]}>%/.,;:-+=#\n"))
        else:
            other = rng.randrange(len(chars))
            chars[place], chars[other] = chars[other], chars[place]
    return "".join(chars)


def plan_text(rng: random.Random) -> str:
    """Return a workup as somebody might write it."""
    parts: list[str] = []
    for _ in range(rng.randint(1, rng.choice((3, 6, 14)))):
        piece = [rng.choice(VERBS)] if rng.random() < 0.75 else []
        if rng.random() < 0.5:
            piece.append(number(rng) + rng.choice(UNITS))
        if rng.random() < 0.8:
            piece.append(rng.choice(things()))
        if rng.random() < 0.4:
            piece.append(rng.choice(NOISE))
        rng.shuffle(piece)
        parts += [" ".join(piece), rng.choice(LINKS)]
    text = "".join(parts)
    return damaged(text, rng) if rng.random() < 0.4 else text


def plan_table(rng: random.Random) -> tuple[str, str]:
    """Return a plan as CSV or TOML, and which of them it is."""
    keys = (
        "step",
        "action",
        "solution",
        "solvent",
        "volume",
        "volume_ml",
        "repeats",
        "ph",
        "layer",
        "note",
        "times",
        "x y",
    )
    rows = []
    for _ in range(rng.randint(0, 5)):
        values = [
            rng.choice((number(rng), rng.choice(VERBS), rng.choice(things()), rng.choice(NOISE), "")) for _ in range(4)
        ]
        rows.append(dict(zip(rng.sample(keys, 4), values, strict=True)))
    if rng.random() < 0.5:
        head = rng.sample(keys, 4)
        text = "\n".join([",".join(head), *(",".join(row.values()) for row in rows)])
        kind = "csv"
    else:
        text = "\n".join("[[step]]\n" + "\n".join(f'{k} = "{v}"' for k, v in row.items()) for row in rows)
        kind = "toml"
    return (damaged(text, rng) if rng.random() < 0.4 and text else text), kind


REAL: list[str] = []  # more SMILES to begin with: the fuzzer fills it from the file that it is given


@cache
def seeds() -> tuple[str, ...]:
    """Return SMILES to begin with: the reagents, and those of the file that the fuzzer was given."""
    return (*(row.smiles for row in table(Reagent).values()), *REAL)


GROUPS = (
    "C(=O)O", "N", "O", "[N+](=O)[O-]", "C#N", "S(=O)(=O)N", "c1ccncc1", "[Si](C)(C)C", "B(O)O", "P(=O)(OC)OC", "C(F)(F)F",
    "OC(=O)C", "NC(=O)OC(C)(C)C", "C=O", "N=[N+]=[N-]", "S", "[13CH3]", "[2H]", "I", "[N+](C)(C)C", "C1CO1", "N(C)C", "OO",
    "[Sn](C)(C)C", "[Mg]Br", "[Se]C", "C(=O)Cl", "N=C=O", "[CH2]", "[O]", "c1ccc2[nH]ccc2c1", "C(N)C(=O)O", "[Hg]C",
)  # fmt: skip


def smiles(rng: random.Random) -> str:
    """Return a structure: a grown one most of the time, a salt, a long chain, or a damaged text."""
    with rdBase.BlockLogs():
        return _smiles(rng)


def _smiles(rng: random.Random) -> str:
    base = rng.choice(seeds())
    what = rng.random()
    if what < 0.35:
        return grown(base, rng)
    if what < 0.55:
        return altered(base, rng)
    if what < 0.65:
        return ".".join(rng.choice(seeds()) for _ in range(rng.randint(2, 4)))
    if what < 0.70:
        return "".join(
            rng.choice(("C", "CC(=O)N", "NCC(=O)", "C(C)O", "c1ccc(cc1)", "CO")) for _ in range(rng.randint(2, 120))
        )
    if what < 0.75:
        return base.replace(
            rng.choice("CNO"), rng.choice(("[Fe]", "[U]", "*", "[13C]", "[C@@H]", "[CH-]", "[N+]", "[2H]", "[R1]")), 1
        )
    return damaged(base, rng)


def grown(base: str, rng: random.Random) -> str:
    """Return a molecule with groups put on in the place of hydrogens."""
    mol = Chem.MolFromSmiles(base)
    if mol is None:
        return base
    for _ in range(rng.randint(1, 4)):
        places = [a.GetIdx() for a in mol.GetAtoms() if a.GetTotalNumHs() and a.GetAtomicNum() in (6, 7, 8)]
        group = Chem.MolFromSmiles(rng.choice(GROUPS), sanitize=False)
        if not places or group is None:
            break
        both = Chem.RWMol(Chem.CombineMols(mol, group))
        both.AddBond(rng.choice(places), mol.GetNumAtoms(), Chem.BondType.SINGLE)
        try:
            Chem.SanitizeMol(both)
            mol = Chem.MolFromSmiles(Chem.MolToSmiles(both)) or mol
        except (Chem.MolSanitizeException, RuntimeError):
            break
    return Chem.MolToSmiles(mol)


def altered(base: str, rng: random.Random) -> str:
    """Return a molecule with atoms, charges, isotopes and bonds changed, whether or not that can exist."""
    mol = Chem.MolFromSmiles(base)
    if mol is None:
        return base
    made = Chem.RWMol(mol)
    for _ in range(rng.randint(1, 4)):
        atom, what = made.GetAtomWithIdx(rng.randrange(made.GetNumAtoms())), rng.randrange(6)
        if what == 0:
            atom.SetAtomicNum(rng.choice((5, 6, 7, 8, 9, 14, 15, 16, 17, 34, 35, 53, rng.randint(1, 118))))
        elif what == 1:
            atom.SetFormalCharge(rng.choice((-2, -1, 1, 2)))
        elif what == 2:
            atom.SetIsotope(rng.choice((2, 13, 15, 18, 99)))
        elif what == 3:
            atom.SetNumRadicalElectrons(rng.choice((1, 2)))
        elif what == 4 and made.GetNumBonds():
            bond = made.GetBondWithIdx(rng.randrange(made.GetNumBonds()))
            bond.SetBondType(rng.choice((Chem.BondType.SINGLE, Chem.BondType.DOUBLE, Chem.BondType.TRIPLE)))
        elif what == 5 and made.GetNumBonds():
            bond = made.GetBondWithIdx(rng.randrange(made.GetNumBonds()))
            made.RemoveBond(bond.GetBeginAtomIdx(), bond.GetEndAtomIdx())
    try:
        return Chem.MolToSmiles(made)
    except RuntimeError:
        return base


def name(rng: random.Random) -> str:
    """Return a name as somebody might type it."""
    text = rng.choice(things())
    if rng.random() < 0.3:
        text = f"{rng.choice(('2-', 'n-', 'iso', 'di', 'conc. ', 'sat. aq. ', '1 M '))}{text}"
    return damaged(text, rng) if rng.random() < 0.6 else text


def amount(rng: random.Random) -> str:
    """Return an amount."""
    return number(rng) + rng.choice((" mmol", " mg", " g", " equiv", " mL", " %", "", " drops", " mol %", "µL"))


def compound(rng: random.Random) -> str:
    """Return a compound that can be read: a name of the tables, a structure of theirs, or one grown from it."""
    row = rng.choice(tuple(table(Reagent).values()))
    with rdBase.BlockLogs():
        return rng.choice((row.name, row.smiles, grown(row.smiles, rng)))


def measured(rng: random.Random) -> str:
    """Return an amount that can be read."""
    return rng.choice(
        (f"{rng.randint(1, 40) / 4:g} mmol", f"{rng.randint(1, 900)} mg", f"{rng.randint(1, 30) / 10:g} equiv")
    )


def solvent(rng: random.Random) -> str:
    """Return the name of a solvent."""
    return rng.choice(tuple(table(Solvent).values())).name


ROLES = ("reactant", "reagent", "base", "acid", "catalyst", "by-product", "solvent", "impurity", "product")


def mixture_toml(rng: random.Random) -> str:
    """Return a mixture file; in two of three each value can be read, apart from what happens to it afterwards."""
    sound = rng.random() < 0.67

    def identity() -> str:
        if sound:
            return f"name = {json.dumps(compound(rng))}"
        return f'smiles = "{smiles(rng)}"' if rng.random() < 0.5 else f'name = "{name(rng)}"'

    first = f"{rng.randint(1, 80) / 4:g} mmol" if sound else amount(rng)
    lines = [f'title = "{rng.choice(NOISE)}"', "[product]", identity(), f'amount = "{first}"']
    if rng.random() < 0.7:
        volume = f"{rng.randint(5, 200)}" if sound else rng.choice((number(rng), "[40, 10]", '"40"', "true", "-3"))
        lines += [
            "[reaction]",
            f'solvent = "{solvent(rng) if sound else rng.choice(things())}"',
            f"volume_ml = {volume}",
        ]
    if rng.random() < 0.3:
        lines += ["[extraction]", f'solvent = "{solvent(rng) if sound else rng.choice(things())}"']
    if rng.random() < 0.2:
        lines += ["[target]", f"left_percent = {rng.choice((0.1, 1, 5)) if sound else number(rng)}"]
    for _ in range(rng.randint(0, 6)):
        role = rng.choice(ROLES[:-1] if rng.random() < 0.95 else (*ROLES, "x"))
        quantity = measured(rng) if sound else amount(rng)
        lines += ["[[others]]", identity(), f'amount = "{quantity}"', f'role = "{role}"']
    text = "\n".join(lines)
    return damaged(text, rng) if rng.random() < (0.1 if sound else 0.4) else text


def options(rng: random.Random) -> list[str]:
    """Return a command line; every other one asks something that can be answered."""
    words = asked(rng) if rng.random() < 0.5 else hostile(rng)
    return [word.replace("\x00", "") for word in words]


def asked(rng: random.Random) -> list[str]:
    """Return a command line as somebody would type it, with at times one word too many."""
    if rng.random() < 0.5:
        flask = [rng.choice(("ester", "amide", "amine"))]
    else:
        flask = ["--product", compound(rng), "--amount", f"{rng.randint(1, 20)} mmol"]
        for _ in range(rng.randint(0, 3)):
            flask += ["--with", f"{compound(rng)}; {measured(rng)}; {rng.choice(ROLES[:-1])}"]
        if rng.random() < 0.6:
            flask += ["--solvent", f"{solvent(rng)}; {rng.randint(5, 100)} mL"]
        if rng.random() < 0.2:
            flask += ["--extract", solvent(rng)]
    thing = rng.choice(things())
    subject = rng.choice((["step", str(rng.randint(1, 9))], [thing], ["not", thing], [compound(rng)]))
    depth = rng.choice(("student", "chemist", "instructor"))
    listed = rng.choice(("solvents", "reagents", "rules", "groups", "residues"))
    shapes = (
        ["plan", *flask], ["plan", *flask, "--for", depth], ["why", *flask, *subject], ["why", *subject],
        ["why", *flask, *subject, "--unless"], ["check", *flask, "--plan", plan_text(rng)],
        ["check", *flask, "--plan", plan_text(rng), "--against"], ["know", listed, thing],
    )  # fmt: skip
    words = list(rng.choice(shapes))
    if rng.random() < 0.3:
        words += ["--format", rng.choice(("json", "text"))]
    if rng.random() < 0.1:
        words.insert(rng.randrange(len(words) + 1), rng.choice((*ODD, "--", "-", "--target", number(rng), "--plain")))
    return words


def hostile(rng: random.Random) -> list[str]:
    """Return a command line of words that hardly belong together."""
    words = [rng.choice(("plan", "why", "check", "know", "new", "properties", "review", "plna", "--version"))]
    for _ in range(rng.randint(0, 5)):
        words += rng.choice(
            (["--product", rng.choice((smiles(rng), name(rng)))], ["--amount", amount(rng)],
             ["--with", f"{name(rng)}; {amount(rng)}; base"], ["--solvent", f"{rng.choice(things())}; {number(rng)} mL"],
             ["--extract", rng.choice(things())], ["--format", rng.choice(("json", "text", "csv", "x"))], ["ester"], ["not"],
             ["--plan", plan_text(rng)], [rng.choice(things())], ["--target", number(rng)], ["-"], ["--help"], ["step 2"], ["2"])
        )  # fmt: skip
    return words


DRAWS = {
    "plans": plan_text, "tables": plan_table, "molecules": smiles, "names": name, "mixtures": mixture_toml, "options": options
}  # fmt: skip
