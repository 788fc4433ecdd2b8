"""Things that must not meet, whoever brings them together: the plan that is made keeps them apart, a written one is told."""

from __future__ import annotations

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Solution, table


@dataclass(frozen=True)
class Pair:
    """Two things that must not meet, by residue, group or solution, and what comes of them (``judging.mixing.OUTCOMES``)."""

    one: frozenset[str]
    other: frozenset[str]
    outcome: str


HALOGENS = frozenset({"hypochlorite", "iodine", "bromine", "n_halosuccinimide"})
AMINES = frozenset({"ammonia", "ammonium", "primary_amine", "secondary_amine", "aniline", "tris"})
CYANIDES, AZIDES = frozenset({"cyanide"}), frozenset({"azide_ion"})
# What azide ion makes azidomethanes of.
CHLORINATED, CHLOROMETHANES = "chlorinated methane", ("dichloromethane", "chloroform", "1,2-dichloroethane")
PAIRS = (
    Pair(HALOGENS, CYANIDES, "cyanogen halide"),
    Pair(frozenset({"persulfate"}), CYANIDES | AZIDES, "poison acid"),
    Pair(HALOGENS, AZIDES, "halogen azide"),
    Pair(frozenset({"hypochlorite"}), AMINES, "chloramines"),
    Pair(frozenset({"hypochlorite"}), frozenset({"acid"}), "chlorine"),
    Pair(frozenset({"persulfate", "permanganate"}), frozenset({"hydrochloric acid"}), "chlorine"),
    Pair(frozenset({"hypochlorite"}), frozenset({"acetone"}), "haloform"),
    Pair(frozenset({"silver_salt"}), frozenset({"free ammonia"}), "fulminating silver"),
    Pair(AZIDES, frozenset({CHLORINATED}), "azidomethane"),
    Pair(frozenset({"thiosulfate"}), frozenset({"strong acid"}), "sulfur"),
)
# Acid enough to turn hypochlorite into chlorine.
ACID_PH = 5.0
# Acid enough to make sulfur of thiosulfate within minutes; basic enough for ammonia to be free.
STRONG_ACID_PH, FREE_AMMONIA_PH = 3.0, 8.5


def in_bottle(solution: str) -> frozenset[str]:
    """Return what a solution brings, in the words of ``PAIRS``."""
    row = table(Solution).get(solution)
    if row is None:
        return frozenset()
    found = set()
    if "hypochlorite" in row.solute:
        found.add("hypochlorite")
    if "ammoni" in row.solute:
        found.add("ammonia")
    if row.solute.startswith("tris"):
        found.add("tris")
    if row.acts_as == "acid":  # each of ours is below ACID_PH
        found |= {"acid", "strong acid"} if row.ph < STRONG_ACID_PH else {"acid"}
    if "ammonia" in found and row.ph > FREE_AMMONIA_PH:
        found.add("free ammonia")
    if row.solute == "sodium thiosulfate":
        found.add("thiosulfate")
    if row.solute == "hydrogen chloride":
        found.add("hydrochloric acid")
    return frozenset(found)


def meeting(one: frozenset[str], other: frozenset[str]) -> str:
    """Return what comes of two things, or an empty text."""
    for pair in PAIRS:
        if (one & pair.one and other & pair.other) or (one & pair.other and other & pair.one):
            return pair.outcome
    return ""
