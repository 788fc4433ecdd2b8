"""Who gives a proton to whom in the funnel: the acid-base reaction behind a step, for one component and one solution.

The pKa of both acids say which way it lies: log K = pKa of the acid formed - pKa of the acid that gives. Source of the
convention: acid-base equilibria in water, any physical chemistry textbook; hydronium counts as 0, water as 14.
"""

from __future__ import annotations

from collections.abc import Iterator

from rdkit import Chem

from washlore.knowledge import acidity
from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Buffer, BufferForms, Solution, table
from washlore.knowledge.water import PKW
from washlore.rules.mixture import Component, is_organic

HYDRONIUM_PKA = 0.0
# A reaction that lies less to the right than this does not carry a component over.
LEAST_LOG_K = 0.5
WATER = "crc"
# So near its pKa a solution holds both forms, a tenth of the lesser: of a buffer the base takes and the acid gives.
THERE = 1.0


@dataclass(frozen=True)
class Partner:
    """What the solution brings: the form that takes or gives the proton, what it becomes, and the pKa of its acid."""

    before: str
    after: tuple[str, ...]
    pka: float
    source: str


@dataclass(frozen=True)
class Transfer:
    """One proton passed. ``component_gives`` tells who gives it; ``log_k`` above 0 lies to the right.

    ``smiles`` is the component's part as it stands, ``ion`` the part after the transfer, ``formulas`` those of both;
    ``atom`` and ``ion_atom`` are where the proton is, as an index in each of the two.
    """

    component: str
    component_gives: bool
    smiles: str
    ion: str
    formulas: tuple[str, str]
    atom: int
    ion_atom: int
    pka: float
    partner: Partner
    log_k: float
    sources: tuple[str, ...]

    @property
    def equation(self) -> str:
        """Return the reaction in formulas, as plain text."""
        left = (self.formulas[0], self.partner.before)
        return f"{' + '.join(left)} -> {' + '.join((self.formulas[1], *self.partner.after))}"


def base_of(row: Solution) -> Partner | None:
    """Return what takes a proton in a solution, or ``None``."""
    if row.acts_as not in ("base", "buffer", "neutral", "salt"):
        return None
    if row.weak_system in table(BufferForms) and row.weak_m:
        system, forms = table(Buffer)[row.weak_system], table(BufferForms)[row.weak_system]
        state = sum(row.ph >= pka - THERE for pka in system.pkas)
        if state == 0:
            return None
        made = forms.forms[state - 1]
        after = forms.splits_into if state == 1 and forms.splits_into else (made,)
        return Partner(forms.forms[state], after, system.pkas[state - 1], system.source)
    if row.strong_charge_m > 0:
        return Partner("OH-", ("H2O",), PKW, WATER)
    return None


def acid_of(row: Solution) -> Partner | None:
    """Return what gives a proton in a solution, or ``None``."""
    if row.acts_as not in ("acid", "buffer", "neutral", "salt"):
        return None
    if row.weak_system in table(BufferForms) and row.weak_m:
        system, forms = table(Buffer)[row.weak_system], table(BufferForms)[row.weak_system]
        state = sum(row.ph >= pka + THERE for pka in system.pkas)
        if state == len(system.pkas):
            return None
        return Partner(forms.forms[state], (forms.forms[state + 1],), system.pkas[state], system.source)
    if row.strong_charge_m < 0:
        return Partner("H3O+", ("H2O",), HYDRONIUM_PKA, WATER)
    return None


STRONG_ACID = Partner("H3O+", ("H2O",), HYDRONIUM_PKA, WATER)
STRONG_BASE = Partner("OH-", ("H2O",), PKW, WATER)


def transfers(component: Component, base: Partner | None, acid: Partner | None, back: bool = False) -> list[Transfer]:
    """Return the proton transfers between a component and what a solution brings, the strongest site of each kind.

    With ``back`` the component is in the water as its ion: its conjugate base takes a proton from ``acid``, its
    conjugate acid gives one to ``base``.
    """
    found = []
    for part in component.parts:
        if not is_organic(part):
            continue
        neutral = acidity.neutral_form(part.mol)
        sites = acidity.molecule_sites(part)
        acids = sorted((s for s in sites if s.kind == "acid"), key=lambda s: s.pka)[:1]
        bases = sorted((s for s in sites if s.kind == "base"), key=lambda s: -s.pka)[:1]
        for site in (*acids, *bases):
            gives = (site.kind == "acid") != back
            partner = base if gives else acid
            if partner is None:
                continue
            log_k = partner.pka - site.pka if gives else site.pka - partner.pka
            if log_k < LEAST_LOG_K:
                continue
            ion = charged(neutral, site.atom, site.kind)
            pair = (ion, neutral) if back else (neutral, ion)
            (smiles, atom), (ion_smiles, ion_atom) = (_written(mol, site.atom) for mol in pair)
            found.append(
                Transfer(
                    component.id,
                    gives,
                    smiles,
                    ion_smiles,
                    (formula(pair[0]), formula(pair[1])),
                    atom,
                    ion_atom,
                    site.pka,
                    partner,
                    log_k,
                    tuple(dict.fromkeys((site.source, partner.source))),
                )
            )
    return found


def _written(mol: Chem.Mol, atom: int) -> tuple[str, int]:
    """Return the canonical SMILES of a molecule and the place of one of its atoms in it."""
    smiles = Chem.MolToSmiles(mol)
    order = list(mol.GetPropsAsDict(includePrivate=True, includeComputed=True)["_smilesAtomOutputOrder"])
    return smiles, order.index(atom)


def charged(mol: Chem.Mol, atom: int, kind: str) -> Chem.Mol:
    """Return a molecule with one proton less at ``atom`` (kind acid) or one more (kind base)."""
    made = Chem.RWMol(mol)
    site = made.GetAtomWithIdx(atom)
    change = -1 if kind == "acid" else 1
    hydrogens = site.GetTotalNumHs()
    site.SetNoImplicit(True)
    site.SetNumExplicitHs(max(0, hydrogens + change))
    site.SetFormalCharge(site.GetFormalCharge() + change)
    Chem.SanitizeMol(made)
    return made.GetMol()


def formula(mol: Chem.Mol) -> str:
    """Return a molecular formula with its charge at the end: ``C8H7O2-``, ``C2H8N2^2+``."""
    charge = Chem.GetFormalCharge(mol)
    from rdkit.Chem.rdMolDescriptors import CalcMolFormula

    bare = CalcMolFormula(mol).split("+")[0].split("-")[0]
    sign = "" if not charge else "+" if charge > 0 else "-"
    return f"{bare}{f'^{abs(charge)}' if abs(charge) > 1 else ''}{sign}"


def step_transfers(
    action: str, solution: Solution | None, target_ph: float | None, components: Iterator[Component] | list[Component]
) -> list[Transfer]:
    """Return the transfers of a step: of a wash with its solution, of a change of pH with strong acid or base."""
    if action in ("wash", "take up", "quench") and solution is not None:
        base, acid = base_of(solution), acid_of(solution)
        return [t for c in components for t in transfers(c, base, acid)]
    if action in ("set ph", "neutralise") and target_ph is not None:
        base, acid = (None, STRONG_ACID) if target_ph < 7 else (STRONG_BASE, None)
        return [t for c in components for t in transfers(c, base, acid, back=True)]
    return []
