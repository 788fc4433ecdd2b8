"""What is in the flask: components with roles and amounts, reaction solvent, extraction solvent, target."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache

from washlore.knowledge import names
from washlore.knowledge.atoms import atoms_of
from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Companion, Reagent, Solvent, table
from washlore.knowledge.scope import forbidden, outside, several, unplaced
from washlore.knowledge.spelling import short
from washlore.knowledge.structure import Molecule, StructureError, canonical_smiles, molecules, unlabelled_smiles
from washlore.rules.meant import meant
from washlore.rules.words import amount as said

ROLES = ("product", "reactant", "reagent", "base", "acid", "catalyst", "by-product", "solvent", "impurity")
# Solvents of one mixture, written into one another.
MOST_MIXED = 6
CHOOSE = "choose"
ASSUMED_PRODUCT_MMOL = 10.0
ASSUMED_EQUIV = 1.0
ASSUMED_CATALYST_EQUIV = 0.05
ASSUMED_ML_PER_MMOL = 5.0
LEAST_ASSUMED_ML = 20.0
MAX_COMPONENTS, MAX_SOLVENTS = 60, 20
LONGEST_SMILES_AS_NAME = 40


class MixtureError(ValueError):
    """A mixture cannot be used; the message says where, what was found and what would work."""


@dataclass(frozen=True)
class Component:
    """One thing in the flask. ``mmol`` is the amount present when the reaction stops."""

    id: str
    name: str
    written: str
    origin: str
    smiles: str
    role: str
    mmol: float
    assumed: bool
    parts: tuple[Molecule, ...]
    boiling_c: float | None = None

    @property
    def principal(self) -> Molecule:
        """The part that the component is about: of an onium salt the onium, else the largest organic one, else the largest."""
        organic = [p for p in self.parts if is_organic(p)]
        return next((p for p in organic if len(organic) > 1 and is_onium(p)), (organic or self.parts)[0])


def is_onium(part: Molecule) -> bool:
    """Tell whether a part is a cation whose charge no base takes away: quaternary ammonium, phosphonium, imidazolium."""
    return part.charge > 0 and any(
        a.GetFormalCharge() > 0
        and a.GetSymbol() in ("N", "P", "S")
        and not a.GetTotalNumHs()
        and not any(n.GetFormalCharge() < 0 for n in a.GetNeighbors())
        for a in part.mol.GetAtoms()
    )


@dataclass(frozen=True)
class Mixture:
    """A flask at the end of a reaction.

    ``undiluted`` holds the ids of the reaction solvents that mix with water and would evaporate, but stay until water takes
    them; known once the flask is thought through.
    """

    title: str
    product: Component
    others: tuple[Component, ...]
    reaction_solvents: tuple[tuple[Solvent, float], ...]
    extraction: Solvent | None
    target: float = 0.01
    assumptions: tuple[str, ...] = ()
    undiluted: frozenset[str] = frozenset()

    @property
    def water_ml(self) -> float:
        """The water that the reaction ran in, mL."""
        return sum(v for s, v in self.reaction_solvents if s.id == "water")

    @property
    def miscible_solvents(self) -> list[tuple[Solvent, float]]:
        """The organic solvents of the reaction that mix with water, and their volumes in mL."""
        return [(s, v) for s, v in self.reaction_solvents if s.miscibility == "miscible" and s.id != "water"]

    @property
    def components(self) -> tuple[Component, ...]:
        """The product and the others."""
        return (self.product, *self.others)

    @property
    def wanted(self) -> tuple[Component, ...]:
        """All that is to be kept: the product, and whatever else has the role of one."""
        return (self.product, *(c for c in self.others if c.role == "product"))

    def component(self, component_id: str) -> Component:
        """Return the component with this id; raise ``KeyError`` otherwise."""
        return next(c for c in self.components if c.id == component_id)


@lru_cache(maxsize=1_000)
def is_organic(part: Molecule) -> bool:
    """Tell whether a part holds carbon bound to hydrogen or carbon, or is a carbon compound that is no plain salt ion."""
    if part.mol.GetNumAtoms() == 1:
        return False
    return any(a.GetAtomicNum() == 6 for a in atoms_of(part.mol)) and part.smiles not in _INORGANIC_CARBON


_CARBONATES = ("O=C([O-])[O-]", "O=C([O-])O", "O=C(O)O", "O=C=O")
_CYANIDES = ("[C-]#N", "C#N", "N#C[O-]", "[N-]=C=O", "N#C[S-]", "[N-]=C=S")
_INORGANIC_CARBON = frozenset((*_CARBONATES, *_CYANIDES, "[C-]#[O+]"))


@dataclass
class _Draft:
    """One component as read, before amounts in equivalents can be settled."""

    where: str
    named: names.Named
    role: str
    amount: str | None
    called: str | None
    parts: tuple[Molecule, ...]


def build(
    product: str,
    others: Iterable[Sequence[str | None]] = (),
    *,
    product_amount: str | None = None,
    product_label: str | None = None,
    solvents: Sequence[tuple[str, float | None]] = (),
    extract: str = CHOOSE,
    target: float = 0.01,
    title: str = "",
) -> Mixture:
    """Return a mixture from names or SMILES.

    ``others`` are (name or SMILES, amount or ``None``, role or ``None``), and a fourth item, if there is one, is what to
    call it; ``product_label`` is that for the product. Amounts are texts such as ``"2 mmol"``,
    ``"150 mg"``, ``"1.2 equiv"``, ``"0.5 mL"``. ``solvents`` are (name, volume in mL or ``None``). ``target`` is the
    fraction of an impurity that may be left. Raises ``MixtureError`` with the place of the fault.
    """
    if not product or not product.strip():
        raise MixtureError("product: none is given; name the compound to be kept, or write its SMILES.")
    if not 0 < target < 1:
        raise MixtureError(f"target: {target:g} is not a fraction between 0 and 1; 0.01 leaves one per cent.")
    notes: list[str] = []
    main = _draft("product", product, "product", product_amount, product_label)
    reason = outside(main.parts)
    # Of an element the kind is known without its chemistry; of a bare CH3 or CH2 it is the chemistry that rules it out.
    carbon = any(atom.GetAtomicNum() == 6 for part in main.parts for atom in atoms_of(part.mol))
    if not any(is_organic(p) for p in main.parts) and not (reason and carbon):
        raise MixtureError(
            f"product: {main.named.name} has no organic part; washlore plans the workup of organic compounds that an organic "
            "solvent can hold."
        )
    if reason:
        raise MixtureError(f"product: {main.named.name} is outside what is known here: {reason}.")
    if main.named.note:
        notes.append(f"{main.named.written}: {main.named.note}")
    rest: list[_Draft] = []
    listed = [tuple(row) for row in others]
    if len(listed) > MAX_COMPONENTS:
        raise MixtureError(f"{len(listed)} components are listed; up to {MAX_COMPONENTS} can be judged at once.")
    for number, (name, amount, role, *named) in enumerate(listed, start=1):
        full, because = meant(name, main.parts, [str(row[0]) for row in listed]) if name else (name, "")
        if because:
            notes.append(f"{name} is taken as {full}: {because}")
        draft = _draft(f"component {number}", full, role, amount, *named)
        if draft.named.note:
            notes.append(f"{draft.named.written} is taken as {draft.named.name}: {draft.named.note}")
        if draft.role == "product" and (reason := outside(draft.parts)):
            raise MixtureError(f"{draft.where}: {draft.named.name} is outside what is known here: {reason}.")
        rest.append(draft)
    product_mmol, assumed = _mmol(main, None)
    if assumed:
        notes.append(f"the amount of {main.named.name} is not given: {product_mmol:g} mmol assumed")
    rest = [part for draft in rest for part in _taken_apart(draft, product_mmol, notes)]
    rest += _companions(rest, product_mmol, notes)
    media = _media(solvents, product_mmol, notes)
    made = [_component("product", main, product_mmol, assumed)]
    for number, draft in enumerate(rest, start=1):
        if draft.role == "product" and not any(is_organic(p) for p in draft.parts):
            raise MixtureError(
                f"{draft.where}: {draft.named.name} has no organic part, so no organic solvent brings it back; give it "
                "another role."
            )
        mmol, assumed = _mmol(draft, product_mmol)
        if assumed:
            notes.append(f"the amount of {draft.named.name} is not given: {mmol:g} mmol assumed")
        made.append(_component(f"c{number}", draft, mmol, assumed))
    for component in made[1:]:
        if why := unplaced(component.parts):
            notes.append(
                f"{component.name} {why}: it is outside what is known here and counted as staying with the product"
            )
    made = _unique_names(_numbered_products(_added_up(made, notes)))
    extraction = None if extract.strip().lower() == CHOOSE else _extraction(extract)
    wanted = [made[0].name, *(c.name for c in made[1:] if c.role == "product")]
    if len(wanted) > 1:
        title = title or f"separation of {', '.join(wanted[:-1])} and {wanted[-1]}"
    return Mixture(
        title or f"workup of {made[0].name}", made[0], tuple(made[1:]), media, extraction, target, tuple(notes)
    )


def read_other(text: str) -> tuple[str, str | None, str | None]:
    """Split ``"name; amount; role"`` (amount and role may be left out, in either order). Raises ``MixtureError``."""
    name, *rest = (part.strip() for part in text.split(";"))
    amount = role = None
    for part in filter(None, rest):
        if part.lower() in ROLES:
            role = part.lower()
        elif amount is None:
            amount = part
        else:
            raise MixtureError(
                f"{short(text)}: {short(part)} is neither an amount nor a role; roles are {', '.join(ROLES)}."
            )
    return name, amount, role


def _draft(where: str, text: str | None, role: str | None, amount: str | None, called: str | None = None) -> _Draft:
    if text is None:
        raise MixtureError(f"{where}: neither name nor smiles is given.")
    role = (role or "impurity").strip().lower()
    if role not in ROLES:
        raise MixtureError(f"{where}: {short(role)} is not a role; roles are {', '.join(ROLES)}.")
    try:
        named = names.resolve(text)
        parts = molecules(named.smiles)
    except (names.NameProblem, StructureError) as error:
        raise MixtureError(f"{where}: {error}") from None
    if reason := forbidden(parts):
        raise MixtureError(f"{where}: {named.name} is outside what is known here: {reason}.")
    return _Draft(where, named, role, amount, called, parts)


def _taken_apart(draft: _Draft, product_mmol: float, notes: list[str]) -> list[_Draft]:
    """Return a draft of each compound where a SMILES holds several beside each other: each goes its own way in a funnel."""
    parts = several(draft.parts) if draft.named.origin == names.SMILES and len(draft.parts) > 1 else []
    if not parts or names.display_name(draft.named.smiles):
        return [draft]
    mmol, assumed = _mmol(draft, product_mmol)
    counts = {smiles: [p.smiles for p in parts].count(smiles) for smiles in dict.fromkeys(p.smiles for p in parts)}
    made = [
        _draft(draft.where, smiles, draft.role, None if assumed else f"{mmol * count:.6g} mmol")
        for smiles, count in counts.items()
    ]
    told = [d.named.name for d in made]
    notes.append(
        f"{draft.named.smiles} is {len(made)} compounds beside each other and is followed as {', '.join(told[:-1])} and {told[-1]}"
    )
    return made


def _companions(drafts: Sequence[_Draft], product_mmol: float, notes: list[str]) -> list[_Draft]:
    """Return what the reagents are never without and nobody listed: sulfuric acid with Jones reagent."""
    by_reagent = {row.reagent: row for row in table(Companion).values()}
    there = {draft.named.smiles for draft in drafts}
    made = []
    for draft in drafts:
        row = names.row_of(draft.named.smiles) if draft.named.origin != names.SMILES else None
        brings = by_reagent.get(row.id) if row else None
        if brings is None:
            continue
        mmol, _ = _mmol(draft, product_mmol)
        more = _draft(draft.where, brings.companion, draft.role, f"{mmol * brings.mmol_per_mmol:.6g} mmol")
        if more.named.smiles in there:
            continue
        there.add(more.named.smiles)
        made.append(more)
        amount = f"{mmol * brings.mmol_per_mmol:.3g} mmol of {more.named.name}"
        notes.append(f"{draft.named.name} brings {amount} along, which is followed too; list it to give its amount")
    return made


def _component(component_id: str, draft: _Draft, mmol: float, assumed: bool) -> Component:
    named = draft.named
    name = named.name
    if draft.called:
        name = draft.called
    elif named.origin == "SMILES":
        name = names.display_name(named.smiles) or _unnamed(draft)
    smiles = ".".join(p.smiles for p in draft.parts)
    return Component(
        component_id, name, named.written, named.origin, smiles, draft.role, mmol, assumed, draft.parts, named.boiling_c
    )


def _unnamed(draft: _Draft) -> str:
    """Return what to call a component that has a structure and no name."""
    if draft.role == "product":
        return "the product"
    smiles = draft.named.smiles
    return smiles if len(smiles) <= LONGEST_SMILES_AS_NAME else f"{draft.parts[0].formula} ({draft.where})"


_AMOUNT = re.compile(r"\s*([+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?)\s*(.+)")
_MMOL = {"mmol": 1.0, "mol": 1000.0, "umol": 1e-3}
_MG = {"mg": 1.0, "g": 1000.0, "kg": 1e6}
_ML = {"ml": 1.0, "l": 1000.0, "ul": 1e-3}
_PARTS = {"equivalents": 1.0, "equivalent": 1.0, "equiv": 1.0, "eq": 1.0, "mol%": 0.01, "%": 0.01}


def _unit(written: str) -> str:
    """Return a unit as it is looked up."""
    return "%".join(written.lower().replace("µ", "u").replace("μ", "u").strip().removesuffix(".").split(" %"))


def _mmol(draft: _Draft, product_mmol: float | None) -> tuple[float, bool]:
    if draft.amount is None or not draft.amount.strip():
        if product_mmol is None:
            return ASSUMED_PRODUCT_MMOL, True
        equiv = ASSUMED_CATALYST_EQUIV if draft.role == "catalyst" else ASSUMED_EQUIV
        return product_mmol * equiv, True
    found = _AMOUNT.match(draft.amount)
    unit = _unit(found[2]) if found else ""
    if not found or not any(unit in units for units in (_MMOL, _MG, _ML, _PARTS)):
        raise MixtureError(
            f"{draft.where} ({draft.named.name}): the amount {short(draft.amount)} is not understood; "
            "write a number with mmol, mg, g, mL or equiv, such as 2.5 mmol."
        )
    number = float(found[1].replace(",", "."))
    if number <= 0:
        raise MixtureError(
            f"{draft.where} ({draft.named.name}): the amount {short(draft.amount)} is not positive; leave the component out "
            "if nothing is left of it, or leave the amount out if it is not known."
        )
    mass = sum(p.molar_mass for p in draft.parts)
    if unit in _MMOL:
        mmol = number * _MMOL[unit]
    elif unit in _MG:
        mmol = number * _MG[unit] / mass
    elif unit in _ML:
        mmol = number * _ML[unit] * _density(draft) * 1000 / mass
    else:
        if product_mmol is None:
            raise MixtureError(f"{draft.where}: the product's amount must be in mmol, mg, g or mL, not in equivalents.")
        mmol = number * product_mmol * _PARTS[unit]
    if not 1e-9 < mmol < 1e6:
        raise MixtureError(
            f"{draft.where} ({draft.named.name}): {short(draft.amount)} is {mmol:.3g} mmol; amounts from a nanomole to a "
            "kilomole can be judged."
        )
    return mmol, False


def _density(draft: _Draft) -> float:
    wanted = canonical_smiles(draft.named.smiles)
    density = _reagent_densities().get(wanted)
    if density is not None:
        return density
    for solvent in table(Solvent).values():
        if canonical_smiles(solvent.smiles) == wanted:
            return solvent.density_g_ml
    raise MixtureError(
        f"{draft.where} ({draft.named.name}): its density is not known here, so {short(draft.amount or '')} cannot be turned into "
        "mmol; give mmol or mass."
    )


@cache
def _reagent_densities() -> dict[str, float]:
    return {
        canonical_smiles(row.smiles): row.density_g_ml
        for row in table(Reagent).values()
        if row.density_g_ml is not None
    }


def find_solvent(text: str) -> Solvent:
    """Return the row of a solvent by name, abbreviation, id or SMILES; raise ``MixtureError`` with near names."""
    return _solvent(text)[0]


def _solvent(text: str) -> tuple[Solvent, str]:
    """Return the row of a solvent, and what was left out of account when its name was read."""
    rows = table(Solvent)
    if text in rows:
        return rows[text], ""
    try:
        named = names.resolve(text, prefer_solvent=True)
        wanted = unlabelled_smiles(named.smiles)
    except (names.NameProblem, StructureError) as error:
        raise MixtureError(f"solvent: {_mixed(text) or error}") from None
    for solvent in rows.values():
        if canonical_smiles(solvent.smiles) == wanted:
            return solvent, named.note
    raise MixtureError(
        f"solvent: {named.name} is not in the solvent table; `washlore know solvents` lists those that are."
    )


def _mixed(text: str) -> str:
    """Say how a mixture of solvents is given, where a text is one; empty otherwise."""
    text = " ".join(text.split())
    if text.casefold() in ("none", "neat", "no solvent", "solvent-free"):
        return f"{text!r} names no solvent; leave the solvent out where there was none."
    parts = [p for p in re.split(r" ?(?:/|:|\+|\band\b|,) ?", text) if p]
    if not 1 < len(parts) <= MOST_MIXED:
        return ""
    try:
        told = [find_solvent(re.sub(r" ?\(?\d+(?:[:/]\d+)*\)?$", "", part)).name for part in parts]
    except MixtureError:
        return ""
    return f"{text!r} is a mixture; give {' and '.join(told)} each with its own volume (--solvent twice, or a list in a file)."


def _extraction(text: str) -> Solvent:
    solvent = find_solvent(text)
    if not solvent.extractant:
        raise MixtureError(
            f"extraction solvent: {solvent.name} is "
            + (
                "miscible with water and forms no second layer"
                if solvent.miscibility == "miscible"
                else "not one to extract with"
            )
            + "; ethyl acetate, dichloromethane, MTBE or toluene would work, or write 'choose'."
        )
    return solvent


def _media(
    rows: Sequence[tuple[str, float | None]], product_mmol: float, notes: list[str]
) -> tuple[tuple[Solvent, float], ...]:
    media = []
    if len(rows) > MAX_SOLVENTS:
        raise MixtureError(f"{len(rows)} solvents are listed; up to {MAX_SOLVENTS} can be judged at once.")
    for text, volume in rows:
        solvent, note = _solvent(text)
        if note:
            notes.append(f"{text} is taken as {solvent.name}: {note}")
        if volume is None:
            volume = max(LEAST_ASSUMED_ML, ASSUMED_ML_PER_MMOL * product_mmol) / len(rows)
            notes.append(f"the volume of {solvent.name} is not given: {volume:.0f} mL assumed")
        if not 0 < volume < 1e6:
            raise MixtureError(
                f"solvent ({solvent.name}): {volume:g} mL is not a volume that can be used; give one above 0 and below 1,000 L."
            )
        media.append((solvent, volume))
    return tuple(media)


def _added_up(components: Sequence[Component], notes: list[str]) -> list[Component]:
    """Return the components with what is listed on several rows, as what goes in by portions is, added up and said so.

    An assumed amount is not added to a known one. Raises ``MixtureError`` where a row is to be kept and another is not.
    """
    rows: dict[str, list[Component]] = {}
    for component in components:
        rows.setdefault(component.smiles, []).append(component)
    return [_as_one(same, notes) if len(same) > 1 else same[0] for same in rows.values()]


def _as_one(same: Sequence[Component], notes: list[str]) -> Component:
    from washlore.knowledge.records import replace

    first, kept = same[0], [c for c in same if c.role == "product"]
    if len(kept) > 1:
        raise MixtureError(f"{kept[1].name}: is listed as a product twice; add the amounts up in one entry.")
    if kept:
        other = next(c for c in same if c.role != "product")
        raise MixtureError(
            f"{other.name}: is listed as {other.role} but is {'the' if first.id == 'product' else 'a'} product too; a compound is "
            "either kept or removed."
        )
    known = [c for c in same if not c.assumed]
    if not known:
        notes.append(f"{first.name} is listed {len(same)} times without an amount and is taken once")
        return first
    mmol = sum(c.mmol for c in known)
    told = " and ".join(said(c.mmol) for c in known)
    rest = f", and {len(same) - len(known)} without an amount" if len(known) < len(same) else ""
    notes.append(
        f"{first.name} is listed {len(same)} times ({told}{rest}): {said(mmol)} in all" + ("" if rest else ", added up")
    )
    return replace(first, role=max(known, key=lambda c: c.mmol).role, mmol=mmol, assumed=False)


def _numbered_products(components: Sequence[Component]) -> list[Component]:
    """Return the components with products that have no name of their own counted, where there are several."""
    from washlore.knowledge.records import replace

    if sum(c.role == "product" for c in components) == 1:
        return list(components)
    place, made = 0, []
    for component in components:
        if component.role == "product":
            place += 1
            if component.name == "the product":
                component = replace(component, name=f"product {place}")
        made.append(component)
    return made


def _unique_names(components: Sequence[Component]) -> list[Component]:
    from washlore.knowledge.records import replace

    counts: dict[str, int] = {}
    made = []
    for component in components:
        counts[component.name] = counts.get(component.name, 0) + 1
        if counts[component.name] > 1:
            component = replace(component, name=f"{component.name} ({counts[component.name]})")
        made.append(component)
    return made
