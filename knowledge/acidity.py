"""Acidic and basic sites of a structure and their pKa in water at 25 C.

Three tiers: a measured value where the compound is in ``pka_measured.csv``; otherwise a linear model for the site's
class (``pka_classes.csv``, ``pka_coefficients.csv``); for classes that no simple model serves, the class mean with a
wide sigma. The values are those of successive (macroscopic) ionisations: a site is judged with every site that
ionises before it already ionised.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable
from functools import cache, lru_cache
from typing import ClassVar

from rdkit import Chem

from washlore.knowledge.atoms import atoms_of
from washlore.knowledge.records import dataclass, replace
from washlore.knowledge.rows import MeasuredPka, Row, column, lines_of, rows_of_lines, rows_under, second_cells, table
from washlore.knowledge.smarts import Pattern, holdings
from washlore.knowledge.structure import (
    ByConnections,
    Molecule,
    canonical_order,
    connections,
    molecules,
    parse,
    unlabelled,
)
from washlore.knowledge.surroundings import Surroundings

MODEL_SOURCE = "mansouri2019"


@dataclass(frozen=True)
class Site:
    """An ionisable site. ``pka``: water, 25 C; of a base, that of its conjugate acid. ``sigma``: one standard error."""

    atom: int
    kind: str
    pka: float
    sigma: float
    site_class: str
    tier: str
    source: str


@dataclass(frozen=True)
class SiteClass(Row):
    """A class of sites, the first atom of ``smarts`` being the site. The first class that fits an atom takes it.

    ``family``: classes that share coefficients. ``frame``: which features describe it. ``tier``: ``model``,
    ``class mean``, or ``omit`` for sites known to lie outside what water shows. ``typical_pka`` and
    ``typical_sigma``: the class's usual value and spread; they order the ionisations of a molecule, and are the
    estimate where the tier is ``class mean`` and no coefficient was fitted. Estimates of a base below ``lowest_pka``
    and of an acid above ``highest_pka`` are not reported. ``example``: a SMILES with a site that this class takes.
    """

    table: ClassVar[str] = "pka_classes"
    id: str
    name: str
    kind: str
    family: str
    frame: str
    smarts: str
    example: str
    typical_pka: float
    typical_sigma: float
    tier: str
    lowest_pka: float
    highest_pka: float
    source: str
    note: str


@dataclass(frozen=True)
class Coefficient(Row):
    """What one unit of ``feature`` adds to the pKa, in the whole ``family`` (class ``*``) or in one class.

    ``intercept`` is the class's starting value; a class without one is described by its ``mean``, which no model
    bettered. ``sigma``: its one-sigma error on molecules left out of the fit, for usual surroundings. ``lowest`` and
    ``highest`` bound the estimate. ``rows``: measured sites that show the feature.
    """

    table: ClassVar[str] = "pka_coefficients"
    id: str
    family: str
    site_class: str
    feature: str
    value: float
    rows: int
    source: str
    note: str


def class_name(site_class: str) -> str:
    """Return the words for a class id, such as ``carboxylic acid``. Raises ``KeyError`` for an unknown id."""
    return table(SiteClass)[site_class].name


def sites(smiles: str) -> tuple[Site, ...]:
    """Return the sites of all parts of ``smiles``, atom indices as written. Raises ``StructureError`` as ``parse``."""
    return _sites(smiles.strip())


@lru_cache(maxsize=1_000)
def _sites(smiles: str) -> tuple[Site, ...]:
    mol = parse(smiles)
    mapping: list[list[int]] = []
    found = []
    parts = Chem.GetMolFrags(mol, asMols=True, fragsMolAtomMapping=mapping)
    for part, numbers in zip(parts, mapping, strict=True):
        plain, written = unlabelled(part)
        molecule = molecules(Chem.MolToSmiles(plain))[0]
        order = canonical_order(plain)
        found += [replace(site, atom=numbers[written[order[site.atom]]]) for site in molecule_sites(molecule)]
    return tuple(sorted(found, key=lambda s: (s.atom, s.kind)))


def molecule_sites(molecule: Molecule) -> tuple[Site, ...]:
    """Return the sites of one molecule, atoms numbered as in its canonical SMILES."""
    return _molecule_sites(molecule.smiles, molecule)


_cached: dict[str, tuple[Site, ...]] = {}


def _molecule_sites(smiles: str, molecule: Molecule) -> tuple[Site, ...]:
    if smiles not in _cached:
        if len(_cached) > 20_000:
            _cached.clear()
        found = estimate(molecule.mol)
        if molecule.charge > 0 and any(_is_feeble(site) for site in found) and onium_charge(molecule.mol):
            found = [site for site in found if not _is_feeble(site)]
        _cached[smiles] = tuple(sorted(found, key=lambda s: (s.atom, s.kind)))
    return _cached[smiles]


# A base that is estimated weaker than this takes no second charge beside a first, of which the estimate knows nothing: the
# benzotriazole of HBTU, the pyridine of HATU.
FEEBLE_BASE_PKA = 4.5


def _is_feeble(site: Site) -> bool:
    return site.kind == "base" and site.pka < FEEBLE_BASE_PKA and site.tier != "measured"


def onium_charge(mol: Chem.Mol) -> int:
    """Return how many atoms are cations without a proton to give or an anion beside them: not that of a nitro group."""
    return sum(
        atom.GetFormalCharge()
        for atom in mol.GetAtoms()
        if atom.GetFormalCharge() > 0
        and not atom.GetTotalNumHs()
        and all(other.GetFormalCharge() >= 0 for other in atom.GetNeighbors())
    )


def estimate(mol: Chem.Mol, measured: bool = True) -> list[Site]:
    """Return the sites of one molecule; ``measured=False`` leaves the table of measured values aside."""
    neutral = neutral_form(mol)
    classes = site_classes(neutral)
    known = _measured(neutral) if measured else {}
    if not classes and not known:
        return []
    around = Surroundings(neutral)
    found = []
    for (atom, kind), row in known.items():
        site_class = classes.get((atom, kind)) or table(SiteClass)["amine_other" if kind == "base" else "carbon_acid"]
        found.append(
            Site(
                atom,
                kind,
                row.pka,
                _measured_sigma(row),
                site_class.id,
                "measured",
                row.source,
            )
        )
    for (atom, kind), site_class in classes.items():
        if (atom, kind) in known or site_class.tier == "omit":
            continue
        pka, sigma = model_pka(around, atom, site_class, charged_before(around, atom, site_class, classes))
        source = MODEL_SOURCE if _own(site_class) else site_class.source
        found.append(
            Site(
                atom,
                kind,
                round(pka, 2),
                round(sigma, 2),
                site_class.id,
                "model" if "intercept" in _own(site_class) else "class mean",
                source,
            )
        )
    return _successive(around, found)


# --- from what is written to the neutral form -------------------------------------------------------------------


def neutral_form(mol: Chem.Mol) -> Chem.Mol:
    """Return the molecule with H+ put back on its anions and taken from its cations, atoms in the same order.

    An anionic atom next to a cationic one (nitro, N-oxide, ylide) is left; where more anions than charges stand around
    a cation (nitrate, azide), the surplus takes up H+.
    """
    if all(a.GetFormalCharge() == 0 for a in atoms_of(mol)):
        return mol
    changes = []
    kept: set[int] = set()
    for atom in atoms_of(mol):
        if atom.GetFormalCharge() > 0:
            near = [n for n in atom.GetNeighbors() if n.GetFormalCharge() < 0]
            anions = [n.GetIdx() for n in sorted(near, key=lambda n: -n.GetAtomicNum())]
            kept.update(anions[: atom.GetFormalCharge()])
            if not anions and atom.GetAtomicNum() in (7, 8, 15, 16) and atom.GetTotalNumHs():
                changes.append((atom.GetIdx(), -1))
    for atom in atoms_of(mol):
        if atom.GetFormalCharge() >= 0 or atom.GetIdx() in kept or atom.GetDegree() == 0:
            continue
        if atom.GetAtomicNum() in (7, 8, 16, 34) or (atom.GetAtomicNum() == 6 and not atom.GetIsAromatic()):
            changes.append((atom.GetIdx(), +1))
    if not changes:
        return mol
    copy = Chem.RWMol(mol)
    for index, change in changes:
        atom = copy.GetAtomWithIdx(index)
        hydrogens = atom.GetTotalNumHs()
        atom.SetFormalCharge(atom.GetFormalCharge() + change)
        atom.SetNoImplicit(True)
        atom.SetNumExplicitHs(hydrogens + change)
    try:
        Chem.SanitizeMol(copy)
    except ValueError:
        return mol
    for index, _ in changes:
        atom = copy.GetAtomWithIdx(index)
        if not atom.GetIsAromatic():
            atom.SetNoImplicit(False)
            atom.SetNumExplicitHs(0)
    copy.UpdatePropertyCache()
    return copy.GetMol()


# --- which atoms are sites --------------------------------------------------------------------------------------


_LEAD = re.compile(r"\[(?:\$\(\[?)?(Se|[A-Za-z])")
_SEVERAL = re.compile(r"[^;\]]*,[A-Z]")


@cache
def _patterns() -> tuple[tuple[SiteClass, str, Pattern, str], ...]:
    """Return each class and its kind, its pattern, the symbol of the site atom (lower case: aromatic; empty: several)."""
    found = []
    texts, kinds = column(SiteClass, "smarts"), column(SiteClass, "kind")
    for row, kind, smarts in zip(table(SiteClass).values(), kinds, texts, strict=True):
        lead = _LEAD.match(smarts)
        several = lead is None or _SEVERAL.match(smarts) is not None
        found.append((row, kind, Pattern(smarts), "" if several or lead is None else lead[1]))
    return tuple(found)


def site_classes(mol: Chem.Mol) -> dict[tuple[int, str], SiteClass]:
    """Return the class of each site of a neutral molecule by (atom, kind)."""
    claimed: dict[tuple[int, str], SiteClass] = {}
    # A pattern is tried only while an atom of its symbol is free: most molecules need a tenth of the patterns.
    free: dict[tuple[str, str], set[int]] = {}
    for atom in atoms_of(mol):
        symbol = atom.GetSymbol().lower() if atom.GetIsAromatic() else atom.GetSymbol()
        if symbol == "c" or (symbol == "C" and not _beside_acceptor(atom)):
            continue
        if atom.GetTotalNumHs():
            free.setdefault((symbol, "acid"), set()).add(atom.GetIdx())
        if symbol != "C":
            free.setdefault((symbol, "base"), set()).add(atom.GetIdx())
    lacks = ~holdings(mol)
    for row, kind, pattern, symbol in _patterns():
        open_atoms = free.get((symbol, kind))
        if (symbol and not open_atoms) or pattern.needs & lacks:
            continue
        for match in mol.GetSubstructMatches(pattern.query, uniquify=False, maxMatches=1000):
            claimed.setdefault((match[0], kind), row)
            if open_atoms:
                open_atoms.discard(match[0])
    return claimed


def _beside_acceptor(atom: Chem.Atom) -> bool:
    """Return whether a saturated C-H carbon stands beside a multiple bond to a heteroatom."""
    if atom.GetDegree() == 4 or not atom.GetTotalNumHs():
        return False
    return any(
        (n.GetAtomicNum() != 6 and n.GetDegree() > 2)
        or any(b.GetBondTypeAsDouble() >= 2 and b.GetOtherAtom(n).GetAtomicNum() in (7, 8, 16) for b in n.GetBonds())
        for n in atom.GetNeighbors()
    )


# --- the model --------------------------------------------------------------------------------------------------


@cache
def _coefficients(family: str) -> dict[str, Coefficient]:
    """Return the coefficients of a ``family``, or of a ``family/class`` of its own, by feature."""
    rows = rows_under(Coefficient, f"{family}/" if "/" in family else f"{family}/*/")
    return by_family(rows).get(family, {})


def by_family(rows: Iterable[Coefficient]) -> dict[str, dict[str, Coefficient]]:
    """Return coefficients by ``family`` or ``family/class``, then by feature."""
    found: dict[str, dict[str, Coefficient]] = defaultdict(dict)
    for row in rows:
        found[row.family if row.site_class == "*" else f"{row.family}/{row.site_class}"][row.feature] = row
    return dict(found)


def _own(site_class: SiteClass) -> dict[str, Coefficient]:
    """Return the coefficients of one class; none where no measured site of it was at hand."""
    return _coefficients(f"{site_class.family}/{site_class.id}")


def charged_before(
    around: Surroundings,
    atom: int,
    site_class: SiteClass,
    classes: dict[tuple[int, str], SiteClass],
) -> dict[int, str]:
    """Return which other sites are ionised at the pH where this one ionises, judged by the classes' usual values."""
    charged = {}
    for (other, kind), row in classes.items():
        if other == atom:
            continue
        margin = row.typical_pka - site_class.typical_pka
        if kind == "base" and margin > 1.0 and row.tier != "omit":
            charged[other] = "gained"
        elif kind == "acid" and margin < -1.0 and row.tier != "omit":
            charged[other] = "lost"
    return charged


def model_pka(around: Surroundings, atom: int, site_class: SiteClass, charged: dict[int, str]) -> tuple[float, float]:
    """Return the model's pKa of one site (the first to ionise among its equals) and its one-sigma error."""
    from washlore.knowledge.acidity_features import features

    own = _own(site_class)
    sigma = own["sigma"].value if "sigma" in own else site_class.typical_sigma
    if "intercept" not in own:
        return (own["mean"].value if "mean" in own else site_class.typical_pka), sigma
    shared = _coefficients(site_class.family)
    seen = _seen(site_class)
    pka = own["intercept"].value
    shown = features(around, atom, site_class.frame, charged)
    for name, value in shown.items():
        if name in shared:
            pka += shared[name].value * value
        if name in own:
            pka += own[name].value * value
    wider = widening([seen.get(name, 0) for name in shown], len(around.atoms))
    return min(max(pka, own["lowest"].value), own["highest"].value), sigma * wider


def widening(seen: Iterable[int], heavy_atoms: int) -> float:
    """Return by what factor the error of a site exceeds its class's, as found on molecules left out of the fit.

    ``seen``: for each feature of the site, how many measured sites of the class show it. What was seldom seen is
    uncertain, and a large molecule holds more that no feature describes.
    """
    unfamiliar = sum(1.0 / (1 + n) for n in seen) + 0.04 * max(0, heavy_atoms - 12)
    return min(math.sqrt(0.45 + unfamiliar), 3.0)


# Rows of the coefficient table that are no features.
STATISTICS = {"intercept", "mean", "sigma", "lowest", "highest"}


@lru_cache(maxsize=1000)
def _seen_in(family: str, site_class: str) -> dict[str, int]:
    own = {n: c.rows for n, c in _coefficients(f"{family}/{site_class}").items() if n not in STATISTICS}
    return own or {n: c.rows for n, c in _coefficients(family).items()}


def _seen(site_class: SiteClass) -> dict[str, int]:
    """Return how many measured sites of a class show each feature."""
    return _seen_in(site_class.family, site_class.id)


# --- several sites in one molecule ------------------------------------------------------------------------------

# How much a charge hinders the next equal one, by the bonds between them: read off diacids and diamines (CRC, Perrin).
_SHIFT_BY_BONDS = {
    1: 9.0,
    2: 5.0,
    3: 2.5,
    4: 1.3,
    5: 0.7,
    6: 0.45,
    7: 0.35,
    8: 0.25,
    9: 0.2,
    10: 0.15,
    11: 0.1,
}


def _successive(around: Surroundings, found: list[Site]) -> list[Site]:
    """Turn estimates that each took its equals as neutral into successive ionisations, and drop what is out of range."""
    done: list[Site] = []
    for kind, sign in (("acid", 1.0), ("base", -1.0)):
        alike = sorted(
            (s for s in found if s.kind == kind),
            key=lambda s: (sign * _order(s), around.ranks[s.atom], s.atom),
        )
        earlier: list[Site] = []
        for site in alike:
            if site.tier != "measured":
                # A value measured in the same aromatic ring is the ring's first, wherever the model puts this one.
                known = [s for s in alike if s.tier == "measured" and s not in earlier and _share_ring(around, s, site)]
                site = _shifted(around, site, earlier + known, sign)
            row = table(SiteClass)[site.site_class]
            if row.id in ONE_PER_BEARER and any(around.bonds_apart[site.atom][e.atom] == 2 for e in earlier):
                continue
            if site.tier != "measured":
                if kind == "base" and site.pka < row.lowest_pka:
                    continue
                if kind == "acid" and site.pka > row.highest_pka:
                    continue
            earlier.append(site)
            done.append(site)
    return done


def _order(site: Site) -> float:
    """Return the pKa that ranks a site: of N-H in one azine ring, the imide ionises before the lactam."""
    row = table(SiteClass)[site.site_class]
    return row.typical_pka if row.family in ONE_RING_FAMILIES and site.tier != "measured" else site.pka


ONE_RING_FAMILIES = {"azinone", "urate_n3", "halouracil", "thiouracil"}
# A second charge in one aromatic ring. Acids: uracil, cyanuric acid; bases: pyrimidine, pyrazine (recalled).
SAME_RING_SHIFT = {"acid": 4.5, "base": 6.0}
ONE_PER_BEARER = {"boronic_acid", "boric_acid"}  # takes up hydroxide, once


def _share_ring(around: Surroundings, one: Site, other: Site) -> bool:
    return any(one.atom in r and other.atom in r for r in around.aromatic_rings)


def _shifted(around: Surroundings, site: Site, earlier: list[Site], sign: float) -> Site:
    equals = around.equivalent[site.atom]
    rank = 1 + sum(around.ranks[e.atom] == around.ranks[site.atom] for e in earlier)
    shift = -math.log10(max(equals - rank + 1, 1) / rank)
    typical = table(SiteClass)[site.site_class].typical_pka
    electrostatic = 0.0
    for other in earlier:
        if _share_ring(around, site, other):
            electrostatic += SAME_RING_SHIFT[site.kind]
            continue
        if abs(table(SiteClass)[other.site_class].typical_pka - typical) > 1.0:
            continue
        bonds = around.bonds_apart[site.atom][other.atom]
        electrostatic += _SHIFT_BY_BONDS.get(bonds, 0.0)
    if not shift and not electrostatic:
        return site
    sigma = math.hypot(site.sigma, 0.4 * electrostatic) if electrostatic else site.sigma
    return replace(
        site,
        pka=round(site.pka + sign * (shift + electrostatic), 2),
        sigma=round(sigma, 2),
    )


# --- measured values --------------------------------------------------------------------------------------------


@cache
def _measured_lines() -> tuple[list[str], ByConnections]:
    lines = lines_of(MeasuredPka)
    return lines, ByConnections(second_cells(lines))


_alike: dict[str, dict[str, list[tuple[Chem.Mol, MeasuredPka]]]] = {}


def _measured_alike(smiles: str) -> dict[str, list[tuple[Chem.Mol, MeasuredPka]]]:
    """Return the measured rows of such ``connections`` by canonical SMILES, each with its structure as written there."""
    found = _alike.get(connections(smiles))
    if found is None:
        found = {}
        lines, by_connections = _measured_lines()
        for row in rows_of_lines(MeasuredPka, [lines[place] for place in by_connections.alike(smiles)]):
            mol = neutral_form(parse(row.smiles))
            found.setdefault(Chem.MolToSmiles(mol), []).append((mol, row))
        if found:
            _alike[connections(smiles)] = found
    return found


def _measured_sigma(row: MeasuredPka) -> float:
    if row.pka < -1.0:
        return 1.0  # strong acids and very weak bases are known to a unit at best
    return 0.35 if row.source == "from_memory" else 0.2


def _measured(neutral: Chem.Mol) -> dict[tuple[int, str], MeasuredPka]:
    canonical = Chem.MolToSmiles(neutral)
    by_structure = _measured_alike(canonical)
    mol = neutral
    if canonical not in by_structure:
        mol = Chem.Mol(neutral)
        Chem.RemoveStereochemistry(mol)
        canonical = Chem.MolToSmiles(mol)
        if canonical not in by_structure:
            return {}
    order = canonical_order(mol)
    rows = by_structure[canonical]
    return {(order[canonical_order(as_written).index(row.atom)], row.kind): row for as_written, row in rows}
