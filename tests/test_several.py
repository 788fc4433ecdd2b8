"""A written workup that parts several products: which layer each step is done to, and what is said of each product.

The three compounds are parted as every first course in the laboratory does it (common practice; Williamson and Masters,
Macroscale and Microscale Organic Experiments, "Acid-base extraction").
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from click.testing import CliRunner

from washlore.cli.main import main
from washlore.cli.render.judgement import check_record, check_text
from washlore.cli.render.plan import plan_text
from washlore.cli.render.record import plan_record
from washlore.rules import several
from washlore.rules.judge import Considered, Judgement, Part, consider, judge
from washlore.rules.mixture import Mixture, build
from washlore.rules.plan import make_plan
from washlore.rules.proposal import ELSEWHERE
from washlore.rules.reading import read_plan
from washlore.rules.reading.streams import streams_of
from washlore.rules.several import alone, path
from washlore.rules.verdict import Found

DRAWS = 64
THREE = ("naphthalene", "benzoic acid", "p-toluidine")
PROSE = (
    "The ether solution (40 mL) was extracted with 1 M HCl (3 x 20 mL). The combined acid extracts were basified with NaOH "
    "(6 M) to pH 12 and extracted with ether (3 x 20 mL); the combined ether extracts were dried (MgSO4), filtered and "
    "evaporated. The original ether layer was then extracted with sat. NaHCO3 (3 x 20 mL). The combined bicarbonate extracts "
    "were acidified with 6 M HCl to pH 1 and extracted with ether (3 x 20 mL), dried (MgSO4), filtered and evaporated. The "
    "remaining ether layer was washed with brine, dried (MgSO4), filtered and concentrated."
)
LABELLED = (
    "Extract the ether solution with 3 x 15 mL of 1 M HCl. Keep the aqueous layer (flask A). Extract the ether with 3 x 15 mL "
    "1 M NaOH. Keep the aqueous layer (flask B). Wash the ether with brine, dry over MgSO4, filter and evaporate. Acidify flask "
    "B with 6 M HCl to pH 1, filter off the acid. Basify flask A with 6 M NaOH to pH 12, extract with 3 x 20 mL ether, dry over "
    "Na2SO4, filter, evaporate."
)
NOTES = (
    "HCl 1 M (3x15 mL) -> flask A; NaOH 1 M (3x15 mL) -> flask B. Organic layer: brine 15 mL, MgSO4, filter, rotovap. "
    "Flask A: 6 M NaOH to pH 12, Et2O 3x20 mL, Na2SO4, filter, rotovap. "
    "Flask B: 6 M HCl to pH 2, filter, wash with cold water, dry."
)
BEAKERS = (
    "1. Add 15 mL of saturated NaHCO3 to the separatory funnel, shake and vent, drain the aqueous layer into a beaker. Do this "
    "three times.\n2. Acidify the beaker with 6 M HCl to pH 2 and filter the acid, rinse with cold water.\n3. Add 15 mL of 1 M "
    "HCl to the ether in the funnel, shake, drain the aqueous layer into a second beaker. Do this three times.\n4. Add 6 M NaOH "
    "to the second beaker to pH 12 and filter the amine.\n5. Dry the ether with MgSO4, filter it and evaporate."
)
HEADED = (
    "Extract the ether layer with 1 M HCl (3 x 15 mL) and combine the aqueous layers. Extract the ether layer with 1 M NaOH "
    "(3 x 15 mL) and combine these too.\n\nOrganic layer\nWash with brine, dry over MgSO4, filter, evaporate.\n\nAcid extract:\n"
    "Basify with 6 M NaOH to pH 12, extract with ether (3 x 20 mL), dry over Na2SO4, filter, evaporate.\n\nBasic extract:\n"
    "Acidify with 6 M HCl to pH 2, extract with ether (3 x 20 mL), dry over Na2SO4, filter, evaporate."
)


def flask(*products: str, solvent: str = "diethyl_ether", mmol: float = 5.0) -> Mixture:
    others = [(name, f"{mmol} mmol", "product") for name in products[1:]]
    return build(products[0], others, product_amount=f"{mmol} mmol", solvents=((solvent, 40.0),))


@cache
def considered(*products: str) -> Considered:
    return consider(flask(*products), DRAWS)


def made(text: str, *products: str) -> Judgement:
    return judge(read_plan(text, several=True), considered(*(products or THREE)))


def recovered(judgement: Judgement) -> dict[str, float]:
    return {part.product.name: round(part.judgement.recovered[1], 2) for part in judgement.parts}


def places(judgement: Judgement) -> dict[str, str]:
    return {part.product.name: part.place for part in judgement.parts}


@pytest.mark.parametrize("text", [PROSE, LABELLED, NOTES, BEAKERS, HEADED], ids=lambda t: t[:20])
def test_a_sound_separation_brings_every_product_home(text: str) -> None:
    judgement = made(text)
    assert judgement.verdict in ("ok", "minor")
    assert min(recovered(judgement).values()) > 0.85
    assert not [f for f in judgement.findings if f.kind != "technique"]
    assert len(set(places(judgement).values())) == 3


def test_layers_are_called_what_the_text_calls_them() -> None:
    assert places(made(LABELLED)) == {
        "naphthalene": "the organic layer",
        "benzoic acid": "flask B",
        "p-toluidine": "flask A",
    }
    assert places(made(PROSE))["benzoic acid"] == "the aqueous layer of step 7"


@pytest.mark.parametrize(
    ("words", "instead", "lost", "rule"),
    [
        ("Basify flask A with 6 M NaOH to pH 12, extract with", "Extract flask A with", "p-toluidine", "left-behind"),
        ("Acidify flask B with 6 M HCl to pH 1, filter off the acid.", "", "benzoic acid", None),
        ("Keep the aqueous layer (flask A)", "Discard the aqueous layer", "p-toluidine", None),
        (
            "Acidify flask B with 6 M HCl to pH 1, filter off the acid.",
            "Extract flask B with 3 x 20 mL ether, dry over Na2SO4, evaporate.",
            "benzoic acid",
            "left-behind",
        ),
    ],
    ids=["no base", "no acid", "thrown away", "extracted as its salt"],
)
def test_a_product_that_stays_in_its_water_is_lost(words: str, instead: str, lost: str, rule: str | None) -> None:
    assert words in LABELLED
    text = LABELLED.replace(words, instead)
    if rule is None and "flask A" not in text[:200]:
        text = text[: text.index("Basify")]
    judgement = made(text)
    assert judgement.verdict == "flawed"
    assert recovered(judgement)[lost] < 0.05
    assert all(share > 0.9 for name, share in recovered(judgement).items() if name != lost)
    losses = [f for f in judgement.findings if f.kind == "loss"]
    assert losses and all(f.text.startswith(lost) for f in losses)
    assert rule is None or rule in {f.rule for f in losses}
    # What is lost is not blamed for its purity too.
    assert not [f for f in judgement.findings if f.kind == "leftover" and f.text.startswith(lost)]


def test_what_no_wash_parts_is_said_once() -> None:
    judgement = made("Wash with 20 mL brine, dry over Na2SO4, filter, evaporate.", "naphthalene", "benzoic acid")
    assert judgement.verdict == "flawed"
    (found,) = [f for f in judgement.findings if f.kind == "leftover"]
    assert found.text.startswith("naphthalene: ") and "benzoic acid" in found.text


def test_hydroxide_alone_takes_acid_and_phenol_together() -> None:
    three = ("naphthalene", "benzoic acid", "2-naphthol")
    sound = (
        "Extract with 3 x 15 mL sat. NaHCO3, venting (flask A). Extract the organic layer with 3 x 15 mL 1 M NaOH (flask B). "
        "Wash the organic layer with brine, dry over MgSO4, filter, evaporate. Acidify flask A with 6 M HCl to pH 1, extract "
        "with 3 x 20 mL ether, dry over MgSO4, filter, evaporate. Acidify flask B with 6 M HCl to pH 2, extract with 3 x 20 mL "
        "ether, dry over MgSO4, filter, evaporate."
    )
    assert made(sound, *three).verdict in ("ok", "minor")
    turned = sound.replace("sat. NaHCO3", "XX").replace("1 M NaOH", "sat. NaHCO3").replace("XX", "1 M NaOH")
    judgement = made(turned, *three)
    assert judgement.verdict == "flawed"
    stays = {part.product.name: part.judgement.left for part in judgement.parts}
    assert max(band[1] for band in stays["benzoic acid"].values()) > 0.5


@pytest.mark.parametrize(
    "products",
    [
        THREE,
        ("4-tert-butylphenol", "salicylic acid"),
        ("biphenyl", "4-chloroaniline", "2-naphthol", "4-chlorobenzoic acid"),
        ("benzophenone", "quinoline"),
    ],
    ids="+".join,
)
@pytest.mark.parametrize("solvent", ["diethyl_ether", "dichloromethane"])
def test_our_own_scheme_as_printed_is_sound(products: tuple[str, ...], solvent: str) -> None:
    mixture = flask(*products, solvent=solvent)
    text = plan_text(plan_record(make_plan(mixture, DRAWS)), 80)
    judgement = judge(read_plan(text, several=True), consider(mixture, DRAWS))
    assert (judgement.verdict, [f.text for f in judgement.findings]) == ("ok", [])
    assert min(recovered(judgement).values()) > 0.85  # HCl takes some benzoic acid out of dichloromethane


def test_our_scheme_says_to_vent_where_bicarbonate_meets_an_acid() -> None:
    plan = make_plan(flask("naphthalene", "benzoic acid"), DRAWS)
    drawing = next(s for s in plan.steps if s.solution == "nahco3_sat")
    assert drawing.vents and "venting after each shake" in drawing.instruction


def test_portions_of_one_wash_are_one_layer() -> None:
    text = "Add 20 mL 1 M HCl, shake, drain the aqueous layer into flask 1. Repeat with another 20 mL 1 M HCl. Dry, evaporate."
    found = streams_of(read_plan(text, several=True))
    waters = [s for s in found.streams if s.phase == "aqueous"]
    assert [s.label for s in waters] == ["1"] and list(found.joined.values()) == [1]


def test_one_product_alone_keeps_the_others_in_the_flask() -> None:
    mixture = flask(*THREE)
    acid = alone(mixture, mixture.wanted[1])
    assert (acid.product.name, acid.product.id) == ("benzoic acid", "product")
    assert {(c.name, c.role) for c in acid.others} == {("naphthalene", "reactant"), ("p-toluidine", "reactant")}
    assert len({c.id for c in acid.components}) == 3
    assert [c.name for c in alone(mixture, mixture.product).wanted] == ["naphthalene"]


def test_the_record_shows_one_tree_and_each_crude() -> None:
    record = check_record(made(LABELLED), against=True, followed=True)
    ends = [s for s in record["streams"] if s["fate"] == "product"]
    assert sorted(s["label"] for s in ends) == ["P1", "P2", "P3"]
    ids = {item["id"]: item["name"] for item in record["products"]}
    held = {ids[max(s["holds"], key=lambda h: h["share"]["mid"])["component"]] for s in ends}
    assert held == set(THREE)
    assert record["product"] == "naphthalene, benzoic acid and p-toluidine"
    assert any(row["ours"] for row in record["against"])
    text = check_text(record, 80)
    assert "keep: aqueous layers" in text and "What would be in the crude products" in text


ARGS = ("--product", "naphthalene", "--amount", "5 mmol", "--solvent", "ether; 40 mL")
WITH = ("--with", "benzoic acid; 5 mmol; product", "--with", "p-toluidine; 5 mmol; product")


def test_check_and_its_pages(tmp_path: Path) -> None:
    for name in ("judged.html", "judged.md", "judged.svg"):
        done = CliRunner().invoke(main, ["check", *ARGS, *WITH, "--plan", LABELLED, "--report", str(tmp_path / name)])
        assert done.exit_code == 0, done.output
        assert "p-toluidine" in (tmp_path / name).read_text(encoding="utf-8")
    done = CliRunner().invoke(main, ["check", *ARGS, *WITH, "--plan", LABELLED.replace("Basify", "Extract")])
    assert "p-toluidine" in done.output


def test_a_class_is_reviewed_on_a_separation(tmp_path: Path) -> None:
    others = "".join(f'[[others]]\nname = "{n}"\namount = "5 mmol"\nrole = "product"\n' for n in THREE[1:])
    (tmp_path / "three.toml").write_text(
        f'[product]\nname = "naphthalene"\namount = "5 mmol"\n{others}[reaction]\nsolvent = "ether"\nvolume_ml = 40\n'
    )
    lost = LABELLED.replace("Basify flask A with 6 M NaOH to pH 12, extract with", "Extract flask A with")
    rows = "\n".join(f'{name},"{text}"' for name, text in (("S1", LABELLED), ("S2", lost)))
    (tmp_path / "class.csv").write_text(f"student,answer\n{rows}\n")
    done = CliRunner().invoke(
        main,
        ["review", str(tmp_path / "three.toml"), str(tmp_path / "class.csv"), "--out", str(tmp_path / "out"),
         "--table", "jsonl", "--feedback", "md"],
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    results = [json.loads(line) for line in (tmp_path / "out" / "results.jsonl").read_text().splitlines()]
    assert [r["verdict"] for r in results] == ["minor", "flawed"]
    assert results[0]["mark"] > results[1]["mark"]
    told = next((tmp_path / "out" / "feedback").glob("*s1*")).read_text(encoding="utf-8")
    assert "The products come through" in told


def disproportionated() -> Mixture:
    """Return what 40 mmol of benzaldehyde and strong potassium hydroxide make (Cannizzaro), in its water."""
    others = [
        ("potassium benzoate", "20 mmol", "product"),
        ("KOH", "15 mmol", "base"),
        ("benzaldehyde", "1 mmol", None),
    ]
    return build("benzyl alcohol", others, product_amount="20 mmol", solvents=(("water", 30.0),))


def test_a_salt_that_is_set_free_once_is_no_salt_any_more() -> None:
    mixture = disproportionated()
    plan = make_plan(mixture, DRAWS)
    acidified = [s for s in plan.steps if s.action in ("set ph", "neutralise")]
    assert [s.number for s in acidified] == [3] and acidified[0].target_ph == 2.0
    printed = plan_text(plan_record(plan), 80)
    assert judge(read_plan(printed, several=True), consider(mixture, DRAWS)).verdict == "ok"


def test_the_water_of_the_reaction_may_hold_a_product() -> None:
    text = (
        "Dilute with 30 mL water and extract with ether (3 x 20 mL). Wash the combined ether extracts with sat. sodium bisulfite "
        "(2 x 10 mL), 10% Na2CO3 and water, dry over MgSO4, filter and evaporate. Acidify the aqueous layer with conc. HCl to "
        "pH 2, cool in ice and collect the acid by suction filtration, wash with cold water."
    )
    judgement = judge(read_plan(text, several=True), consider(disproportionated(), DRAWS))
    assert judgement.verdict == "minor"
    assert places(judgement)["potassium benzoate"] == "the aqueous layer of step 2"
    judgement = judge(read_plan(text[: text.index("Acidify")], several=True), consider(disproportionated(), DRAWS))
    assert judgement.verdict == "flawed" and recovered(judgement)["potassium benzoate"] < 0.05


@pytest.mark.parametrize("product", THREE)
def test_for_one_product_the_other_layers_do_not_count(product: str) -> None:
    """Whoever keeps only the acid may still dry and strip the neutral layer first."""
    others = [(name, "5 mmol", "reactant") for name in THREE if name != product]
    mixture = build(product, others, product_amount="5 mmol", solvents=(("diethyl_ether", 40.0),))
    judgement = judge(read_plan(LABELLED), consider(mixture, DRAWS))
    assert judgement.verdict in ("ok", "minor") and judgement.recovered[1] > 0.9
    assert not {f.rule for f in judgement.findings} & {"dried-too-early", "left-behind"}
    elsewhere = [n for n, told in judgement.assumed.items() if any("a layer without" in text for text in told)]
    assert elsewhere
    assert all(step.action != "elsewhere" for step in judgement.proposal.steps)


def test_what_no_wash_can_part_is_held_against_nobody() -> None:
    judgement = made("Wash with 20 mL brine, dry over Na2SO4, filter, rinse, evaporate.", "naphthalene", "biphenyl")
    assert judgement.verdict in ("ok", "minor") and not [f for f in judgement.findings if f.kind == "leftover"]


LETTERS = {"set ph": "s", "filter": "F", "filter off desiccant": "f", "elsewhere": "-", "take up": "t"}


def on_the_way(text: str, place: int) -> str:
    """Return the steps that the product in a stream goes through: action, how often, and which layer is kept."""
    proposal = read_plan(text, several=True)
    done = path(proposal, streams_of(proposal), place).steps
    assert [step.start for step in done] == [step.start for step in proposal.steps]
    assert not any(
        s.solution or s.solvent or s.desiccant or s.target_ph or s.assumed for s in done if s.action == ELSEWHERE
    )
    told = []
    for step in done:
        met = step.action in ("wash", "take up", "extract")
        told.append(LETTERS.get(step.action, step.action[0]) + (f"{step.repeats}{step.phase_kept[:1]}" if met else ""))
    return " ".join(told)


REACTION = (
    "Extract with ether (2 x 20 mL). Wash the ether with brine, dry over MgSO4, filter, evaporate. Acidify the aqueous layer with "
    "6 M HCl to pH 1, extract with ether (3 x 20 mL), dry, filter and evaporate."
)
PORTIONS = (
    "Wash with 20 mL 1 M HCl, vent. Wash with 20 mL 1 M HCl. Wash with brine, dry, evaporate. Basify the acid extracts to pH 12, "
    "extract with ether, dry, wash with water, filter."
)


@pytest.mark.parametrize(
    ("text", "place", "steps"),
    [
        (PROSE, 0, "w3o - - - - - w3o - - - - - w1o d f c"),
        (PROSE, 2, "t3a s e3o d f c - - - - - - - - - -"),
        (PROSE, 4, "w3o - - - - - t3a s e3o d f c - - - -"),
        # where the water is gone on with, what is extracted from it is lost
        (PROSE, 3, "w3o - - - - - t3a s e3a - - - - - - -"),
        (LABELLED, 1, "t3a - - - - - - - s e3a - - -"),
        (LABELLED, 2, "w3o t3a - - - - s F - - - - -"),
        (NOTES, 2, "w3o t3a - - - - - - - - - s F r"),
        (NOTES, 4, "t3a - - - - - s e3o d f c - - -"),
        # whoever vents does so for both layers
        (BEAKERS, 0, "w3o v - - - w3o - - d f c"),
        (BEAKERS, 1, "t3a v s F r - - - - - -"),
        (BEAKERS, 2, "w3o v - - - t3a s F - - -"),
        # the water of the reaction: its extract is the first layer, what follows is another
        (REACTION, 0, "e2o w1o d f c - - - - -"),
        (REACTION, 1, "e2a - - - - s e3a - - -"),
        (REACTION, 3, "e2a - - - - s e3o d f c"),
        # further portions of a wash are done where the first was; what is wet again is dried no more
        (PORTIONS, 0, "w2o v - w1o d c - - - - -"),
        (PORTIONS, 1, "t2a v - - - - s e1a - - -"),
        (PORTIONS, 3, "t2a v - - - - s e1o d w1o F"),
    ],
)
def test_the_steps_that_each_product_goes_through(text: str, place: int, steps: str) -> None:
    assert on_the_way(text, place) == steps


def test_layers_without_a_name_are_called_by_the_step_that_parted_them() -> None:
    assert set(places(made(BEAKERS)).values()) == {
        "the organic layer",
        "the aqueous layer of step 1",
        "the aqueous layer of step 6",
    }


# ---- what is said of several products together


def finding(kind: str, component: str = "c1", step: int = 1, rule: str = "r", text: str = "too much stays") -> Found:
    return Found(kind, rule, "", step, "", component, text, "", (), (), "", (component,) if component else ())


def part_of(
    product: str, /, *findings: Found, recovered: float = 0.9, place: str = "the organic layer", **left: float
) -> Part:
    judgement = Judgement(
        read_plan("Wash with brine."),
        SimpleNamespace(mixture=SimpleNamespace(target=0.01), plan=object()),
        findings,
        (),
        {c: (x / 2, x, 2 * x) for c, x in left.items()},
        (recovered / 2, recovered, recovered),
        "flawed",
    )
    return Part(SimpleNamespace(id=product, name=f"compound {product}"), place, judgement)


def test_a_product_is_collected_where_its_own_water_is_filtered() -> None:
    proposal = read_plan(LABELLED, several=True)
    streams = streams_of(proposal)
    assert [several._collects(proposal, streams, place) for place in range(3)] == [
        True,
        False,
        True,
    ]  # by a desiccant too


def test_ids_of_the_whole_flask_and_of_one_product() -> None:
    first, second = part_of("product"), part_of("c1")
    assert [several.own_id(first, c) for c in ("product", "c1", "c2")] == ["product", "c1", "c2"]
    # where c1 is followed it is the product, and the first product goes by its id
    assert [several.own_id(second, c) for c in ("product", "c1", "c2")] == ["c1", "product", "c2"]


def test_what_is_said_of_several_products_once() -> None:
    parts = [
        part_of("product", finding("technique", "", 3), finding("loss", "product", 2), finding("leftover", "c1", 5)),
        part_of("c1", finding("technique", "", 3), finding("loss", "product", 2), finding("hazard", "c2", 4, "other")),
    ]
    told = [(f.kind, f.step, f.component, f.components, f.text) for f in several._merged(parts)]
    assert told == [
        ("hazard", 4, "c2", ("c2",), "too much stays"),
        ("loss", 2, "product", ("product",), "compound product: too much stays"),
        ("loss", 2, "c1", ("c1",), "compound c1: too much stays"),
        ("leftover", 5, "c1", ("c1",), "compound product: too much stays"),
        ("technique", 3, "", (), "too much stays"),
    ]


def test_two_that_stay_together_are_held_against_the_first_alone() -> None:
    first, second = (
        part_of("product", finding("leftover", "c1"), c1=0.9),
        part_of("c1", finding("leftover", "c1"), c1=0.9, c2=0.5),
    )

    def fair(part: Part, *earlier: Part, together: Any = ()) -> tuple[int, set[str], str]:
        made = several._in_fairness(part, earlier, together).judgement
        return len(made.findings), set(made.left), made.verdict

    assert fair(first) == (1, {"c1"}, "flawed")
    assert fair(second, first) == (0, {"c2"}, "ok")
    # in another layer it is a finding of its own
    assert fair(part_of("c1", finding("leftover", "c1"), place="flask A"), first)[0] == 1
    # what no wash parts is held against neither
    assert fair(first, together=[frozenset({"product", "c1"})]) == (0, set(), "ok")
    assert fair(first, together=[frozenset({"c1", "c2"})])[0] == 1
    # a third component stays a finding
    assert fair(part_of("c1", finding("leftover", "c2")), first)[0] == 1
    # what is lost is not judged for its purity; but its loss is
    lost = part_of(
        "product", finding("leftover", "c2"), finding("loss", "product"), recovered=0.049, product=0.049, c2=0.9
    )
    assert fair(lost) == (1, {"product"}, "flawed")
    assert fair(part_of("product", finding("leftover", "c2"), recovered=0.05, c2=0.9))[0] == 1


def test_one_account_of_all_products() -> None:
    judgement = made(LABELLED)
    told = {item.step: item.text for item in judgement.achieves}
    assert list(told) == list(range(1, 14))
    assert told[1].startswith("carries p-toluidine into the water") and told[2].startswith("carries benzoic acid")
    assert told[10].endswith("of p-toluidine into the organic layer") and told[7] == "brings the water to pH 1"
    bands = [part.judgement.recovered for part in judgement.parts]
    assert judgement.recovered == pytest.approx([sum(band[n] for band in bands) / 3 for n in range(3)])
    # by the ids of the whole flask the most that any crude holds
    assert set(judgement.left) == {"product", "c1", "c2"}
    toluidine = judgement.parts[2].judgement.left
    assert judgement.left["product"] == toluidine["c2"] and judgement.left["c1"] == toluidine["c1"]
    assert judgement.assumed[3] == ("volume a third of the organic layer",)
    assert "a solid is collected from the water; what stays in it is not computed" in judgement.assumed[8]
    # a solid that is collected is no drying agent
    assert [s.action for s in judgement.proposal.steps][7] == "filter"
    assert judgement.verdict == "minor" and not judgement.left_to


def test_each_product_is_thought_through_where_no_scheme_parts_them(monkeypatch: pytest.MonkeyPatch) -> None:
    mixture = flask("naphthalene", "biphenyl")
    assert several.consider_each(mixture, 1).together == (frozenset({"product", "c1"}),)

    def refused(*_: Any) -> None:
        raise several.PlanRefused("no scheme")

    monkeypatch.setattr(several, "make_plan", refused)
    made = several.consider_each(mixture, 1)
    assert made.together == () and [c.name for c, _ in made.parts] == ["naphthalene", "biphenyl"]


def test_what_is_made_of_layers_that_a_product_is_not_in() -> None:
    proposal = read_plan(LABELLED)
    for product, kept in (
        ("benzoic acid", "w3o t3a - - - - s F - - - - -"),
        ("naphthalene", "w3o w3o w1o d f c - - - - - - -"),
    ):
        mixture = build(
            product,
            [(n, "5 mmol", "reactant") for n in THREE if n != product],
            product_amount="5 mmol",
            solvents=(("diethyl_ether", 40.0),),
        )
        done = several.with_product(proposal, consider(mixture, 1)).steps
        assert [s.action == ELSEWHERE for s in done] == [word == "-" for word in kept.split()]
    # one layer only is worked up: nothing is left out
    single = read_plan("Wash with 1 M HCl, dry, filter, evaporate.")
    assert several.with_product(single, consider(mixture, 1)) is single
