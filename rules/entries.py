"""What is known of a row without any mixture: its fields in words, and the rules that name it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Desiccant, Gas, Group, Reagent, Residue, Solution, Solvent, source_text, table
from washlore.rules.engine import Lore, all_lore, judging_lore
from washlore.rules.subjects import ALL_KINDS, Subject, SubjectProblem, find_subjects, split_question


@dataclass(frozen=True)
class Entry:
    """What is known of a row without any mixture: its fields in words, and the rules that name it."""

    kind: str
    name: str
    lines: tuple[str, ...]
    cited: tuple[str, ...]
    rules: tuple[Lore, ...]

    @property
    def sources(self) -> dict[str, str]:
        """Return the citations behind the entry, by key."""
        keys = dict.fromkeys((*self.cited, *(key for item in self.rules for key in item.sources)))
        return {key: source_text(key) for key in keys}


def lore_on(question: str) -> list[Entry]:
    """Return what is known of a solution, drying agent, solvent, functional group, leftover or reagent, or of any SMILES.

    Raises ``SubjectProblem`` for anything else.
    """
    text, _ = split_question(question)
    try:
        return [_entry(subject) for subject in find_subjects(text)]
    except SubjectProblem:
        if (entry := _of_structure(text)) is None:
            raise
        return [entry]


def _of_structure(text: str) -> Entry | None:
    """Return what is known of a structure that no table holds: its sites, groups, leftovers and log K, or why none is."""
    from washlore.knowledge import groups, names, scope
    from washlore.knowledge.partition import molecule_log_k
    from washlore.knowledge.structure import StructureError, molecules

    if not names.looks_like_smiles(text):
        return None
    try:
        parts = molecules(text)
    except StructureError as error:
        raise SubjectProblem(str(error)) from None
    reason = scope.no_log_k(parts)
    lines, cited = ([f"outside what is known here: {reason}"], []) if reason else _site_lines(text)
    if not reason:
        for group in dict.fromkeys(match.group for part in parts for match in groups.molecule_groups(part)):
            if group.limit_reason:
                lines.append(f"{group.name}: {group.limit_reason}")
                cited.append(group.source)
        for key in ("dichloromethane", "ethyl_acetate", "diethyl_ether"):
            value = molecule_log_k(parts[0], key)
            told = f"{value.value:.1f} ± {value.sigma:.1f} ({value.form})"
            lines.append(f"log K from water into {table(Solvent)[key].name} {told}")
            cited.append(value.source)
    for residue, _ in groups.all_residues(parts):
        lines.append(f"as a leftover ({residue.name}): {residue.how}")
        cited.append(residue.source)
    return Entry("structure", text, tuple(lines), tuple(dict.fromkeys(cited)), ())


def _entry(subject: Subject) -> Entry:
    row = table(ALL_KINDS[subject.kind])[subject.id]
    say: Mapping[str, Callable[[Any], list[str]]] = {
        "solution": _solution_lines,
        "desiccant": _desiccant_lines,
        "solvent": _solvent_lines,
        "group": _group_lines,
        "residue": _residue_lines,
        "reagent": _reagent_lines,
    }
    lines = say[subject.kind](row)
    cited = [row.source, *(_site_sources(row) if subject.kind == "reagent" else ())]
    return Entry(subject.kind, row.name, tuple(lines), tuple(dict.fromkeys(cited)), tuple(_rules_on(row)))


def _solution_lines(row: Solution) -> list[str]:
    lines = [f"pH {row.ph:g}, density {row.density_g_ml:.2f} g/mL" + (f", {row.strength}" if row.strength else "")]
    if row.takes_out:
        lines.append(f"takes out: {row.takes_out}")
    if row.never_meets:
        told = [table(Group)[g].name if g in table(Group) else g.replace("_", " ") for g in row.never_meets]
        lines.append(f"never meets: {', '.join(told)}" + (f" ({row.never_reason})" if row.never_reason else ""))
    elif row.never_reason:
        lines.append(f"mind: {row.never_reason}")
    if row.note:
        lines.append(f"note: {row.note}")
    return lines


def _desiccant_lines(row: Desiccant) -> list[str]:
    lines = [
        f"{row.formula or row.name}, {row.character}",
        f"binds {row.capacity_g_per_g:g} g of water per gram in practice; takes {row.wait_min:g} min",
        row.reason,
    ]
    for verb, groups in (("holds back", row.binds), ("harms", row.attacks)):
        if groups:
            told = [table(Group)[g].name if g in table(Group) else g.replace("_", " ") for g in groups]
            lines.append(f"{verb}: {', '.join(told)}")
    if row.note:
        lines.append(f"note: {row.note}")
    return lines


def _solvent_lines(row: Solvent) -> list[str]:
    lines = [f"{row.beside_water}density {row.density_g_ml:.2f} g/mL, boils at {row.boiling_c:.0f} C"]
    if row.water_held_wt_pct is not None:
        lines.append(f"holds {row.water_held_wt_pct:g} % of water when saturated")
    if row.in_water_wt_pct is not None:
        lines.append(f"water saturated with it holds {row.in_water_wt_pct:g} % of it")
    lines.append("makes an organic layer" if row.extractant else "makes no organic layer to extract with")
    if row.peroxide_former:
        lines.append("forms peroxides on standing")
    if row.waste_class:
        lines.append(f"waste: {row.waste_class}")
    if row.note:
        lines.append(f"note: {row.note}")
    return lines


def _group_lines(row: Group) -> list[str]:
    lines = []
    if row.lowest_ph is None and row.highest_ph is None:
        lines.append("stands any pH of a wash")
    else:
        low = f"down to pH {row.lowest_ph:g}" if row.lowest_ph is not None else "any acid"
        high = f"up to pH {row.highest_ph:g}" if row.highest_ph is not None else "any base"
        lines.append(f"stands {low} and {high} for the minutes of a wash")
    if row.limit_reason:
        lines.append(f"because: {row.limit_reason}")
    if row.avoid:
        lines.append(f"kept from: {', '.join(row.avoid)}")
    if row.matches:
        lines.append(f"for example: {', '.join(row.matches[:3])}")
    if row.note:
        lines.append(f"note: {row.note}")
    return lines


def _residue_lines(row: Residue) -> list[str]:
    lines = [
        {
            "quench": "quenched before any wash",
            "wash": "taken out by a wash of its own",
            "filter": "filtered off before the funnel",
        }.get(row.action, "no wash serves")
    ]
    if row.solution:
        lines.append(f"wash: {table(Solution)[row.solution].name}")
    if row.quench_with:
        lines.append(f"quenched with: {row.quench_with}")
    if row.how:
        lines.append(f"how: {row.how}")
    if row.gas:
        lines.append(f"gas set free: {', '.join(table(Gas)[g].name for g in row.gas)}")
    if row.acid_frees:
        lines.append(f"below pH {row.below_ph:g} water sets {table(Gas)[row.acid_frees].name} free")
    if row.danger:
        lines.append(f"danger: {row.danger}")
    if row.instead_how:
        lines.append(f"where the product would not stand that: {row.instead_how}")
    if row.never:
        lines.append(f"never: {row.never}")
    if row.note:
        lines.append(f"note: {row.note}")
    return lines


def _reagent_lines(row: Reagent) -> list[str]:
    from washlore.knowledge import groups
    from washlore.knowledge.structure import molecules

    lines = [
        f"used as {row.use}; {row.smiles}" + ("" if row.boiling_c is None else f"; boils at {row.boiling_c:.0f} C"),
        *_site_lines(row.smiles)[0],
    ]
    remedy = groups.molecule_residue(molecules(row.smiles))
    if remedy is not None:
        lines.append(f"{remedy.name}: {remedy.how}")
        lines += [f"{word}: {told}" for word, told in (("danger", remedy.danger), ("never", remedy.never)) if told]
    if row.note:
        lines.append(f"note: {row.note}")
    return lines


def _site_lines(smiles: str) -> tuple[list[str], list[str]]:
    """Return the sites of a structure that ionise in water, in words, and their sources."""
    from washlore.knowledge import acidity

    found = [site for site in acidity.sites(smiles) if 0 <= site.pka <= 14]
    lines = [
        f"{acidity.class_name(site.site_class)} at atom {site.atom}, pKa "
        f"{'of the conjugate acid ' if site.kind == 'base' else ''}{site.pka:.1f} ± {site.sigma:.1f} ({site.tier})"
        for site in found
    ]
    return lines, [site.source for site in found]


def _site_sources(row: Reagent) -> list[str]:
    from washlore.knowledge import groups
    from washlore.knowledge.structure import molecules

    remedy = groups.molecule_residue(molecules(row.smiles))
    return _site_lines(row.smiles)[1] + ([remedy.source] if remedy is not None else [])


def _rules_on(row: Any) -> list[Lore]:
    """Return the rules whose title or reason names a row, by one of its longer names."""
    spelled = [
        s
        for s in (row.name, *getattr(row, "aliases", ()), getattr(row, "solute", ""))
        if len(s) > 3 and not s[0].isdigit()
    ]
    plain = re.sub(r"^(saturated|\d+(\.\d+)? ?(%|M)) ", "", row.name)
    words = {s.casefold() for s in (*spelled, plain) if len(s) > 3}
    if getattr(row, "solute", "") == "sodium hydrogen carbonate":
        words.add("bicarbonate")
    if getattr(row, "solute", "") == "sodium hydroxide":
        words.add("hydroxide")
    found = []
    for item in (*all_lore(), *judging_lore()):
        text = f"{item.title} {item.why}".casefold()
        if any(re.search(rf"(?<![a-z]){re.escape(w)}(?![a-z])", text) for w in words):
            found.append(item)
    return found
