"""How a compound divides itself between an organic solvent and water.

The neutral form is described by five solute descriptors of Abraham's solvation model: E (excess refraction), S
(dipolarity), A and B (hydrogen-bond acidity and basicity) and V (McGowan volume). V is exact; the others are sums over
the substructures of ``tables/solute_fragments.csv``. One linear equation per solvent (``tables/solvent_equations.csv``)
turns them into log K. What has been measured comes first: a log K of ``tables/log_k_measured.csv`` is used as it
stands, and a measured octanol log P moves the estimate for every other solvent. ``tables/log_k_corrections.csv`` mends
what one equation is known to get wrong.

``log K`` is log10 of [organic]/[water] at 25 C of the neutral form, mol/L in both layers.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cache, lru_cache
from typing import ClassVar

from rdkit import Chem

from washlore.knowledge import inorganic
from washlore.knowledge.atoms import atoms_of
from washlore.knowledge.ion_pairs import OTHER_SOLVENTS, permanent_pair, solvent_kind
from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Row, column, rows_under, table
from washlore.knowledge.solute import (
    COVERED,
    FragmentCounter,
    SoluteFragment,
    block,
    most_acidity,
    neutral_form,
    query,
    read_smiles,
)
from washlore.knowledge.structure import ByConnections, Molecule, molecules


@dataclass(frozen=True)
class SolventEquation(Row):
    """Coefficients of log K = c + e E + s S + a A + b B + v V for one solvent against water.

    ``form``: ``wet`` (mutually saturated layers, as in a funnel) or ``dry``. ``sigma``: standard error of the equation
    with measured descriptors. ``sigma_fragments``: standard error with descriptors from fragments.
    ``octanol_slope``: log K to be added per unit of log P (measured minus estimated), and ``sigma_octanol`` the
    standard error that is left then. ``checked``: how the row was tested.
    """

    table: ClassVar[str] = "solvent_equations"
    solvent: str
    form: str
    c: float
    e: float
    s: float
    a: float
    b: float
    v: float
    sigma: float
    sigma_fragments: float
    octanol_slope: float
    sigma_octanol: float
    source: str
    checked: str


@dataclass(frozen=True)
class MeasuredLogK(Row):
    """A measured log K of a common compound. ``solvent`` is a key of ``solvent_equations.csv``."""

    table: ClassVar[str] = "log_k_measured"
    id: str
    name: str
    smiles: str
    solvent: str
    log_k: float
    sigma: float
    source: str
    note: str


@dataclass(frozen=True)
class OctanolLogP(Row):
    """A measured octanol log P by the first block of the InChIKey, that is by skeleton and formula."""

    table: ClassVar[str] = "log_p_octanol"
    inchikey_block: str
    log_p: float
    source: str


@dataclass(frozen=True)
class LogKCorrection(Row):
    """What each fragment adds to the log K of one solvent beyond its equation, from ``values`` measured ones."""

    table: ClassVar[str] = "log_k_corrections"
    id: str
    solvent: str
    fragment: str
    log_k: float
    values: int
    source: str
    note: str


@dataclass(frozen=True)
class SaltingOut(Row):
    """How strongly a salt drives neutral compounds out of water, mole for mole, with sodium chloride as 1."""

    table: ClassVar[str] = "salting_out"
    salt: str
    name: str
    relative_to_nacl: float
    benzene_l_mol: float | None
    source: str
    note: str


@dataclass(frozen=True)
class LogK:
    """log10([organic]/[water]) of the neutral form at 25 C, its standard error, and where it is from.

    ``tier``: ``measured``, ``measured octanol`` (estimated, corrected by a measured log P), ``fragments`` or
    ``inorganic`` (by kind of solvent); for a permanent ion ``ion pair``. ``source``: key of ``sources.csv``. ``note``:
    what makes the value doubtful, or empty. ``form``: what the value is for, in words.
    """

    value: float
    sigma: float
    tier: str
    source: str
    note: str = ""

    @property
    def form(self) -> str:
        """What the value is for: ``neutral form``; ``zwitterion`` of an amino acid, as measured; ``ion pair``."""
        if self.tier == "ion pair":
            return "ion pair"
        return "zwitterion" if self.note.startswith(ZWITTERION) else "neutral form"


@dataclass(frozen=True)
class Descriptors:
    """Abraham descriptors of the neutral form; V in (cm3/mol)/100.

    ``log_p``: measured octanol log P or ``None``. ``crippen``: log P by Crippen's atom contributions, an independent
    estimate: the further it is from the fragments, the less either can be trusted. ``note``: what the fragments do
    not cover, or empty.
    """

    E: float
    S: float
    A: float
    B: float
    V: float
    crippen: float
    log_p: float | None
    note: str = ""


OCTANOL = "1-octanol"


@cache
def _counter() -> FragmentCounter:
    return FragmentCounter()


def _from_fragments(counts: Sequence[float]) -> tuple[float, float, float, float]:
    """Return E, S, A and B as the fragments add up to them."""
    e = s = a = b = 0.0
    for count, row in zip(counts, table(SoluteFragment).values(), strict=True):
        if count:
            e, s, a, b = e + count * row.e, s + count * row.s, a + count * row.a, b + count * row.b
    return e, s, a, b


def _rare(counts: Sequence[float]) -> int:
    """Return how many of the fragments are backed by few solutes."""
    rows = table(SoluteFragment).values()
    return sum(1 for count, row in zip(counts, rows, strict=True) if count and row.solutes < RARE_SOLUTES)


def _from_descriptors(e: float, s: float, a: float, b: float, v: float) -> dict[str, float]:
    """Return log K by solvent as its equation gives it."""
    return {
        name: row.c + row.e * e + row.s * s + row.a * a + row.b * b + row.v * v
        for name, row in table(SolventEquation).items()
    }


def _solvents() -> tuple[str, ...]:
    return tuple(table(SolventEquation))


SOLVENTS: tuple[str, ...] = _solvents()


def known_solvent(solvent: str) -> str:
    """Return a solvent that has an equation; raise ``ValueError`` otherwise."""
    if solvent not in SOLVENTS:
        raise ValueError(f"{solvent!r} has no partition equation; solvents with one are {', '.join(SOLVENTS)}.")
    return solvent


def measured_log_p(key: str) -> tuple[float | None, str]:
    """Return the measured octanol log P by first block of the InChIKey, and its source; ``None`` where there is none.

    ``tables/log_p_octanol.csv`` is an index by structure of the collections that the ``chemicals`` package carries by
    CAS number; joining the two at run time would read 43 MB.
    """
    found = rows_under(OctanolLogP, f"{key},") if key else []
    return (found[0].log_p, found[0].source) if found else (None, "")


@cache
def _measured_rows() -> tuple[tuple[MeasuredLogK, ...], ByConnections]:
    # A salt goes by its largest part.
    smiles = [molecules(text)[0].smiles if "." in text else text for text in column(MeasuredLogK, "smiles")]
    return tuple(table(MeasuredLogK).values()), ByConnections(smiles)


@lru_cache(maxsize=1_000)
def _block_of(smiles: str) -> str:
    """Return the first block of the InChIKey of a canonical SMILES; one compound stands in a table once for each solvent."""
    mol = read_smiles(smiles)
    return "" if mol is None else block(mol)


def _measured(neutral: str, key: str) -> Mapping[str, MeasuredLogK]:
    """Return the measured rows of a neutral form, a canonical SMILES, and of its tautomers, by solvent."""
    rows, by_connections = _measured_rows()
    alike = (rows[place] for place in by_connections.alike(neutral))
    return {row.solvent: row for row in alike if _block_of(molecules(row.smiles)[0].smiles) == key}


# Spread of log K by class, relative to the solvent's own: quantiles of errors on molecules left out of the fit. The
# further Crippen's log P or a measured one lies from the fragments, and the larger the molecule, the wider.
CRIPPEN_GAP_EDGES = (0.5, 1.0, 2.0)
HEAVY_ATOM_EDGES = (15, 22, 30)
RARE_FRAGMENT_EDGES = (1, 2)
LOG_P_GAP_EDGES = (0.2, 0.5, 1.0)
RARE_SOLUTES = 25
CRIPPEN_GAP_FACTORS = (0.97, 1.05, 1.15, 2.0)  # the last by hand: 80 molecules with an RMSE of 2 in log P
HEAVY_ATOM_FACTORS = (0.89, 1.07, 1.4, 2.04)
RARE_FRAGMENT_FACTORS = (0.96, 1.27, 1.72)
LOG_P_GAP_FACTORS = (0.77, 1.07, 1.53, 2.01)
HEAVY_ATOM_LOG_P_FACTORS = (0.89, 1.34, 1.87, 3.8)
ZWITTERION = "amine and acid in one molecule: measured values, and the fragments, are for the zwitterion"
_DISAGREE = "fragments and atom contributions differ by more than 1 in log P"


def _band(value: float, edges: tuple[float, ...], factors: tuple[float, ...]) -> float:
    return factors[sum(value >= edge for edge in edges)]


@dataclass(frozen=True)
class _Partition:
    """Everything about one molecule: descriptors and log K in every solvent."""

    descriptors: Descriptors
    log_k: Mapping[str, LogK]


def _judge(mol: Chem.Mol) -> _Partition:
    neutral = neutral_form(mol)
    permanent = Chem.GetFormalCharge(neutral) != 0
    smiles = Chem.MolToSmiles(neutral)
    key = "" if permanent else _block_of(smiles) or block(neutral)
    counter = _counter()
    counts, volume, crippen = counter.count(neutral)
    e, s, a, b = _from_fragments(counts)
    a = min(max(0.0, a), most_acidity(neutral))
    b = max(0.0, b)
    zwitterion = counts[counter.ids.index("zwitterion")] > 0
    strange = sorted({x.GetSymbol() for x in atoms_of(neutral) if x.GetAtomicNum() not in COVERED})
    note = f"no solute with {', '.join(strange)} stands behind the fragments" if strange else ""
    if zwitterion and not note:
        note = ZWITTERION
    measured = _measured(smiles, key)
    octanol_row = measured.get(OCTANOL)
    log_p, log_p_source = measured_log_p(key)
    if octanol_row is not None:
        log_p, log_p_source = octanol_row.log_k, octanol_row.source
    descriptors = Descriptors(e, s, a, b, volume, crippen, log_p, note)
    tabled = inorganic.by_form().get(Chem.MolToSmiles(mol)) or inorganic.by_form().get(smiles)
    if tabled is not None:
        return _Partition(descriptors, {name: _tabled(tabled, measured, name) for name in SOLVENTS})
    if permanent:
        return _Partition(descriptors, {name: _permanent(neutral, name) for name in SOLVENTS})
    if 6 not in {x.GetAtomicNum() for x in atoms_of(neutral)} and neutral.HasSubstructMatch(
        query("[N,O,F,Cl,Br,I;!H0]")
    ):
        return _Partition(descriptors, {name: _inorganic(measured, name) for name in SOLVENTS})

    raw = _from_descriptors(e, s, a, b, volume)
    octanol = raw[OCTANOL]
    for correction in table(LogKCorrection).values():
        raw[correction.solvent] += correction.log_k * counts[counter.ids.index(correction.fragment)]
    heavy = neutral.GetNumHeavyAtoms()
    apart = abs(octanol - crippen)
    far = 0.0 if log_p is None else abs(log_p - octanol)
    by_fragments = _band(apart, CRIPPEN_GAP_EDGES, CRIPPEN_GAP_FACTORS)
    by_fragments *= _band(heavy, HEAVY_ATOM_EDGES, HEAVY_ATOM_FACTORS) * (2.0 if strange else 1.0)
    by_fragments *= _band(
        _rare(counts),
        RARE_FRAGMENT_EDGES,
        RARE_FRAGMENT_FACTORS,
    )
    by_octanol = _band(far, LOG_P_GAP_EDGES, LOG_P_GAP_FACTORS)
    by_octanol *= _band(heavy, HEAVY_ATOM_EDGES, HEAVY_ATOM_LOG_P_FACTORS)
    result: dict[str, LogK] = {}
    for name, equation in table(SolventEquation).items():
        row = measured.get(name)
        if row is not None:
            result[name] = LogK(row.log_k, row.sigma, "measured", row.source, note)
        elif name == OCTANOL and log_p is not None:
            result[name] = LogK(log_p, 0.2, "measured", log_p_source, note)
        elif log_p is not None:
            value = raw[name] + equation.octanol_slope * (log_p - octanol)
            sigma = math.hypot(equation.sigma_octanol * by_octanol, equation.sigma)
            result[name] = LogK(value, sigma, "measured octanol", log_p_source, note)
        else:
            text = "; ".join(x for x in (note, _DISAGREE if apart > 1 else "") if x)
            sigma = math.hypot(equation.sigma_fragments * by_fragments, equation.sigma)
            result[name] = LogK(raw[name], sigma, "fragments", "fragment_fit", text)
    return _Partition(descriptors, result)


def _tabled(row: inorganic.Inorganic, known: Mapping[str, MeasuredLogK], solvent: str) -> LogK:
    """Return log K of a compound of ``inorganic.csv``: measured, else by kind of solvent."""
    measured = known.get(solvent)
    if measured is not None:
        return LogK(measured.log_k, measured.sigma, "measured", measured.source)
    kind = solvent_kind(solvent)
    if kind == "chlorinated":
        value = row.log_k_chlorinated
    elif kind == OTHER_SOLVENTS:
        value = row.log_k_hydrocarbons
    else:
        value = row.log_k_donors if kind != "alcohols" or row.log_k_alcohols is None else row.log_k_alcohols
    if value is None or row.sigma is None:
        return LogK(-6.0, 0.5, "inorganic", row.source, f"{row.name} stays in the water")
    return LogK(value, row.sigma, "inorganic", row.source, row.note)


def _inorganic(known: Mapping[str, MeasuredLogK], solvent: str) -> LogK:
    """Return log K of a carbon-free hydrogen compound (mineral acid, hydrazine): measured, or a guess that it stays."""
    row = known.get(solvent)
    if row is not None:
        return LogK(row.log_k, row.sigma, "measured", row.source)
    value = -4.5 if solvent_kind(solvent) in ("chlorinated", OTHER_SOLVENTS) else -3.0
    return LogK(value, 1.5, "fragments", "from_memory", "inorganic: stays in water; the fragments do not cover it")


@lru_cache(maxsize=1_000)
def _partition(smiles: str) -> _Partition:
    return _judge(molecules(smiles)[0].mol)


def descriptors(molecule: Molecule) -> Descriptors:
    """Return the Abraham descriptors of the neutral form of ``molecule``."""
    return _partition(molecule.smiles).descriptors


def molecule_log_k(molecule: Molecule, solvent: str) -> LogK:
    """Return log K of the neutral form of ``molecule`` between ``solvent`` and water.

    An ion that cannot be neutralised (quaternary ammonium, phosphonium) is judged by ``permanent_ion_log_k``. Raises
    ``ValueError`` for a solvent without an equation.
    """
    return _partition(molecule.smiles).log_k[known_solvent(solvent)]


def log_k(smiles: str, solvent: str) -> LogK:
    """Return log K of the neutral form of the largest part of ``smiles`` between ``solvent`` and water.

    Raises ``ValueError`` for a solvent without an equation and ``StructureError`` for what is not a structure.
    """
    return molecule_log_k(molecules(smiles)[0], solvent)


def mixed_log_k(molecule: Molecule, mixture: Mapping[str, float]) -> LogK:
    """Return log K into a mixture of solvents, log-linear in the volume fractions (which are normalised).

    Mixtures are seldom measured: the standard error is that of the parts, widened by 0.3 times the spread of their
    values. Raises ``ValueError`` for an empty mixture, a negative fraction or an unknown solvent.
    """
    total = sum(mixture.values())
    if not mixture or total <= 0 or min(mixture.values()) < 0:
        raise ValueError(f"{dict(mixture)!r} is no mixture; give solvents with volume fractions, e.g. hexane 0.5.")
    parts = [(fraction / total, molecule_log_k(molecule, name)) for name, fraction in mixture.items()]
    value = sum(f * k.value for f, k in parts)
    sigma = sum(f * k.sigma for f, k in parts)
    spread = sum(f * (k.value - value) ** 2 for f, k in parts) ** 0.5
    order = ("measured", "measured octanol", "inorganic", "fragments", "ion pair")
    weakest = max((k for f, k in parts if f > 0), key=lambda k: order.index(k.tier))
    return LogK(value, (sigma**2 + (0.3 * spread) ** 2) ** 0.5, weakest.tier, weakest.source, weakest.note)


def _permanent(mol: Chem.Mol, solvent: str) -> LogK:
    pair = permanent_pair(mol, solvent)
    return LogK(pair.log_k, pair.sigma, "ion pair", "from_memory", pair.note)


def fragment_log_p(mol: Chem.Mol) -> float:
    """Return octanol log P of a neutral structure by its fragments alone."""
    counts, volume, _ = _counter().count(mol)
    e, s, a, b = _from_fragments(counts)
    return _from_descriptors(e, s, min(max(0.0, a), most_acidity(mol)), max(0.0, b), volume)[OCTANOL]


def setschenow(molecule: Molecule, log_p: float, salt: str = "NaCl") -> float:
    """Return the salting-out constant ks in L/mol: log K in salt water = log K + ks c(salt).

    For sodium chloride ks = 0.040 log P + 0.114 (Ni and Yalkowsky, Int. J. Pharm. 2003); other salts are scaled by
    ``tables/salting_out.csv``. Ions are not salted out. Raises ``ValueError`` for a salt without a row.
    """
    salts = table(SaltingOut)
    if salt not in salts:
        raise ValueError(f"{salt!r} has no salting-out constant; salts with one are {', '.join(salts)}.")
    if Chem.GetFormalCharge(neutral_form(molecule.mol)) != 0:
        return 0.0
    sodium_chloride = max(0.0, 0.040 * log_p + 0.114)
    return sodium_chloride * salts[salt].relative_to_nacl
