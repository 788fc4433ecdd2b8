"""Which of its meanings an abbreviation has in this flask: the product and the company it is in decide, or nothing does."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from washlore.knowledge import names
from washlore.knowledge.groups import molecule_groups
from washlore.knowledge.records import dataclass
from washlore.knowledge.structure import Molecule


@dataclass(frozen=True)
class Sign:
    """``short`` means ``name`` where the product holds one of ``groups`` or one of ``company`` (names) is in the flask."""

    short: str
    name: str
    groups: frozenset[str]
    company: frozenset[str]
    because: str


SIGNS = (
    Sign(
        "edc",
        "EDCI",
        frozenset(("secondary_amide", "tertiary_amide", "nhs_ester", "pfp_ester", "hobt_ester", "weinreb_amide")),
        frozenset(("HOBt", "HOAt", "Oxyma", "DMAP", "N-hydroxysuccinimide", "pentafluorophenol", "EDU")),
        "a coupling is what it is for here",
    ),
    Sign(
        "dmp",
        "Dess-Martin periodinane",
        frozenset(("aldehyde", "aliphatic_aldehyde", "ketone", "bisulfite_ketone", "enone")),
        frozenset(("2-iodobenzoic acid",)),
        "the product is what it makes",
    ),
    Sign(
        "dmp",
        "2,2-dimethoxypropane",
        frozenset(("acetonide", "ketal", "ketal_dioxolane", "ketal_dioxane")),
        frozenset(("p-toluenesulfonic acid", "camphorsulfonic acid", "PPTS")),
        "a ketal is what it is for here",
    ),
)


def meant(text: str, product: Sequence[Molecule], company: Iterable[str]) -> tuple[str, str]:
    """Return the full name that ``text`` stands for here and the reason, or ``text`` as it is and no reason.

    ``company`` are the other names of the flask, as they were written.
    """
    signs = [sign for sign in SIGNS if sign.short == text.strip().casefold()]
    if not signs:
        return text, ""
    groups = {match.group.id for part in product for match in molecule_groups(part)}
    there = {found for other in company if (found := _named(other))}
    wanted = [sign for sign in signs if groups & sign.groups or there & {_named(name) for name in sign.company}]
    if len(wanted) != 1:
        return text, ""
    return wanted[0].name, wanted[0].because


def _named(text: str) -> str:
    """Return the SMILES behind a name, or an empty text where there is none or more than one."""
    try:
        return names.resolve(text).smiles
    except names.NameProblem:
        return ""
