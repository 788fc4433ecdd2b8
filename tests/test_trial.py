"""Trials: volumes by hand, and the vectorised pass over all solutions against the ledger, one solution at a time."""

from __future__ import annotations

from dataclasses import replace

import pytest

from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules import trial
from washlore.rules.ledger import Step, run_ledger
from washlore.rules.mixture import Mixture, build
from washlore.rules.perceive import Job
from washlore.rules.species import sheet

PRODUCT = "CCOC(=O)c1ccc(C)cc1"
DCM, ETHER = table(Solvent)["dichloromethane"], table(Solvent)["diethyl_ether"]


def flask(
    *others: str, product: str = PRODUCT, mmol: float = 10.0, solvents: tuple = (("dichloromethane", 40.0),)
) -> Mixture:
    pairs = [(name, amount, None) for name, amount in (o.split("; ") for o in others)]
    return build(product, pairs, product_amount=f"{mmol} mmol", solvents=list(solvents))


def bottle(key: str) -> Solution:
    return table(Solution)[key]


def test_a_solvent_mixes_in_while_it_is_there() -> None:
    mixture = flask("DMF; 50 mmol", "triethylamine; 5 mmol")
    dmf, thf = table(Solvent)["dmf"], table(Solvent)["thf"]
    assert trial._mixes_in(mixture, dmf, ()) and not trial._mixes_in(mixture, thf, ())
    assert not trial._mixes_in(mixture, dmf, ("c1",)) and trial._mixes_in(mixture, dmf, ("c2",))
    assert not trial._mixes_in(flask("CO; 5 mmol"), dmf, ())


# Product (mmol), solvents of the reaction, volume of the layer (mL).
LAYERS = [
    (10.0, (("dichloromethane", 80.0),), 80.0),  # what is there
    (10.0, (("dichloromethane", 10.0),), 35.0),  # 20 mL for each of 1.64 g, less than 4 mL for each mmol; rounded
    (10.0, (("THF", 100.0),), 35.0),  # THF is stripped and counts for nothing
    (10.0, (("DMF", 30.0),), 60.0),  # DMF stays and asks for twice its volume
    (10.0, (("DMF", 20.0), ("DMSO", 15.0)), 70.0),
    (10.0, (("dichloromethane", 30.0), ("toluene", 50.0)), 80.0),
    (10.0, (("water", 100.0),), 35.0),
    (0.1, (("dichloromethane", 1.0),), 6.0),  # no layer is made smaller than this
    (100.0, (), 350.0),
    (200.0, (), 400.0),  # 656 mL by 20 mL a gram, 328 by ten: 400 is enough
    (1000.0, (), 1600.0),  # ten millilitres for each gram
]


@pytest.mark.parametrize(("mmol", "solvents", "expected"), LAYERS)
def test_the_organic_layer(mmol: float, solvents: tuple, expected: float) -> None:
    assert trial.organic_volume_ml(flask(mmol=mmol, solvents=solvents)) == pytest.approx(expected, rel=0.02)


def test_four_millilitres_for_each_mmol_of_a_heavy_product() -> None:
    assert trial.organic_volume_ml(flask(product="CCCCCCCCCCCCCCCCCC(=O)OCCCCCCCC", solvents=())) == 40.0


# Solution, others, solvents, gone, stripped, volume of one portion (mL) beside 60 mL of organic layer.
PORTIONS = [
    ("water", (), (("dichloromethane", 60.0),), (), (), 20.0),
    ("hcl_1m", ("CCN(CC)CC; 30 mmol",), (("dichloromethane", 60.0),), (), (), 20.0),
    # 100 mmol of base ask for 1.2 x 100 / 3 = 40 mL of 1 M acid
    ("hcl_1m", ("CCN(CC)CC; 100 mmol",), (("dichloromethane", 60.0),), (), (), 40.0),
    ("hcl_1m", ("CCN(CC)CC; 100 mmol",), (("dichloromethane", 60.0),), ("c1",), (), 20.0),
    ("hcl_1m", ("CCN(CC)CC; 100 mmol",), (("dichloromethane", 60.0),), (), ("c1",), 20.0),
    # no more than the layer itself
    ("hcl_1m", ("CCN(CC)CC; 500 mmol",), (("dichloromethane", 60.0),), (), (), 60.0),
    # both ends of a diamine, and sodium hydroxide
    ("hcl_1m", ("NCCCCCCN; 50 mmol",), (("dichloromethane", 60.0),), (), (), 40.0),
    ("hcl_1m", ("[Na+].[OH-]; 100 mmol",), (("dichloromethane", 60.0),), (), (), 40.0),
    ("naoh_1m", ("[Na+].[OH-]; 100 mmol",), (("dichloromethane", 60.0),), (), (), 20.0),
    ("naoh_1m", ("CCCCCCCC(=O)O; 100 mmol",), (("dichloromethane", 60.0),), (), (), 40.0),
    ("naoh_1m", ("Cl; 100 mmol",), (("dichloromethane", 60.0),), (), (), 40.0),
    ("hcl_1m", ("CCCCCCCC(=O)O; 100 mmol",), (("dichloromethane", 60.0),), (), (), 20.0),
    # bicarbonate asks nothing of a phenol; pyridine is nothing to sodium hydroxide
    ("nahco3_sat", ("Oc1ccccc1; 300 mmol",), (("dichloromethane", 60.0),), (), (), 20.0),
    ("naoh_1m", ("c1ccncc1; 300 mmol",), (("dichloromethane", 60.0),), (), (), 20.0),
    # water for a miscible solvent is one and a half times its volume, up to the layer
    ("water", ("DMF; 20 mL",), (("dichloromethane", 60.0), ("DMF", 20.0)), (), (), 30.0),
    ("water", ("DMF; 20 mL",), (("dichloromethane", 60.0), ("DMF", 20.0)), (), ("c1",), 20.0),
    ("water", (), (("dichloromethane", 60.0), ("water", 40.0)), (), (), 20.0),
]  # fmt: skip


@pytest.mark.parametrize("row", PORTIONS, ids=lambda row: f"{row[0]} {row[1]} {row[3]} {row[4]}")
def test_one_portion_of_a_wash(row: tuple) -> None:
    solution, others, solvents, gone, stripped, expected = row
    mixture = flask(*others, solvents=solvents)
    assert trial.portion_ml(mixture, bottle(solution), gone, stripped) == pytest.approx(expected, rel=0.03)


def test_the_product_asks_for_no_wash() -> None:
    mixture = flask(product="NCCCCCCCCCCCCCCCCCC", mmol=10, solvents=(("dichloromethane", 60.0),))
    assert trial.portion_ml(mixture, bottle("hcl_1m"), (), ()) == 20.0


def test_smaller_volumes_by_hand() -> None:
    mixture = flask("[Na+].[OH-]; 100 mmol", solvents=(("dichloromethane", 60.0),))
    assert trial.wash_volume_ml(60.0) == 20.0 and trial.rinse_ml(50.0) == 20.0
    # half the layer, or 1 mL for each 2 mmol of strong ion
    assert trial.neutralising_ml(mixture) == 50.0
    assert trial.neutralising_ml(flask(solvents=(("dichloromethane", 60.0),))) == 30.0
    # 10 mmol of product in three portions with half as much again
    assert trial.capacity_ml(mixture, bottle("naoh_1m")) == pytest.approx(5.0)
    assert trial.capacity_ml(mixture, replace(bottle("naoh_1m"), molarity_m=0.0)) == pytest.approx(100.0)


def test_solvents_offered() -> None:
    def offered(**options: object) -> list[str]:
        return [s.id for s in trial.offered_solvents(flask(**options))]  # type: ignore[arg-type]

    assert offered() == list(trial.OFFERED)
    assert offered(solvents=(("chloroform", 40.0),)) == ["chloroform", *trial.OFFERED]
    assert offered(solvents=(("THF", 40.0),)) == list(trial.OFFERED)
    assert offered(product="CCOC(C)=O")[-2:] == list(trial.OFFERED_FOR_VOLATILE)
    assert offered(product="OCC(O)CO")[-2:] == list(trial.OFFERED_FOR_POLAR)
    assert offered(product="CCOC(C)=O", solvents=(("pentane", 40.0),)) == ["pentane", *trial.OFFERED, "xylene"]
    assert offered(product="OCC(O)CO", solvents=(("1-butanol", 40.0),))[0] == "1-butanol"
    asked = build(PRODUCT, [], extract="toluene")
    assert [s.id for s in trial.offered_solvents(asked)] == ["toluene"]


def test_boiling_points_are_those_of_tables_or_groups_or_high() -> None:
    product = flask().product
    assert trial.boils_c(flask(product="CCOC(C)=O").product) == pytest.approx(77, abs=1)
    assert trial.boils_c(replace(product, boiling_c=123.0)) == 123.0
    assert trial.boils_c(flask(product="C[N+](C)(C)CCCC.[Br-]").product) == 400.0


# ---- the vectorised pass against the ledger


OTHERS = ("OC(=O)c1ccccc1; 5 mmol", "CCN(CC)CC; 12 mmol", "Nc1ccccc1; 3 mmol", "[K+].[K+].O=C([O-])[O-]; 6 mmol")
SOLUTIONS = [bottle(s) for s in ("water", "hcl_1m", "nahco3_sat", "naoh_1m", "brine", "citric_10")]


def _ledger(mixture: Mixture, before: list[Step], solution: Solution, gone: tuple = (), stripped: tuple = ()):
    volume = trial.part_ml(mixture, solution, gone, stripped, trial.layer_ml(mixture))
    steps = [*before, Step("wash", solution=solution.id, volume_ml=volume, repeats=3)]
    return run_ledger(mixture, steps, draws=1), len(steps)


def _started(mixture: Mixture, gone: tuple = (), stripped: tuple = ()) -> list[Step]:
    """Return the steps to a flask with what is quenched and stripped out of it, in a layer of ether."""
    return [
        Step("quench", removes=gone),
        Step("evaporate", removes=stripped),
        Step("dilute", solvent="diethyl_ether", volume_ml=trial.layer_ml(mixture)),
    ]


@pytest.mark.parametrize(("gone", "stripped"), [((), ()), (("c1",), ()), ((), ("c2",)), (("c4",), ("c2",))])
def test_each_column_of_a_trial_is_a_run_of_the_ledger(gone: tuple, stripped: tuple) -> None:
    mixture = flask(*OTHERS)
    job = Job(mixture)
    trials, after = trial.uptakes(job, ETHER, gone, stripped, SOLUTIONS)
    assert [t.solution for t in trials] == [s.id for s in SOLUTIONS]
    for made, solution in zip(trials, SOLUTIONS, strict=True):
        book, last = _ledger(mixture, _started(mixture, gone, stripped), solution, gone, stripped)
        contacts = [c for c in book.contacts if c.step == last]
        start = run_ledger(mixture, _started(mixture, gone, stripped), draws=1)
        assert made.spent_ph == pytest.approx(float(contacts[0].ph[0]), abs=1e-3)
        for c in ("product", "c1", "c2", "c3"):
            whole = start.fraction(c, start.organic.mmol)[0]
            if not whole:
                assert made.left[c] == (0.0, 0.0, 0.0)
                continue
            expected = [float(book.fraction(c, contact.organic_mmol)[0] / whole) for contact in contacts]
            assert made.left[c] == pytest.approx(expected, rel=2e-3, abs=1e-6)
            assert after[c] == pytest.approx(1.0)


def test_cautious_leaves_more_and_unlucky_less() -> None:
    mixture = flask(*OTHERS)
    trials, _ = trial.uptakes(Job(mixture), ETHER, (), (), SOLUTIONS)
    for made in trials:
        for c in ("product", "c3"):
            assert all(a >= b for a, b in zip(made.cautious[c], made.left[c]))  # noqa: B905 (no more than were needed)
        assert all(a <= b for a, b in zip(made.unlucky, made.left["product"][:2], strict=True))
    # One and a half standard deviations of each number at once.
    one = sheet(mixture, 1)
    assert trial.sides(one)[0] is one
    for side, sigmas in zip(trial.sides(one)[1:], (1.5, -1.5), strict=True):
        # An acid that is weaker, and a base that is, leave more.
        for place, (species, sign) in enumerate(((1, 1.0), (2, -1.0))):
            sigma = one.species[species].sites[0].sigma
            assert side.pka[place, 0] - one.pka[place, 0] == pytest.approx(sign * sigma * sigmas)
        assert side.normal[:, 0].tolist() == side.pair_normal[:, 0].tolist() == [sigmas] * len(one.species)
        assert side.strong_of == one.strong_of and side.weak_mmol == one.weak_mmol


def test_a_trial_after_the_flask_was_brought_to_a_ph() -> None:
    mixture = flask("CCN(CC)CC; 12 mmol", "[K+].[K+].O=C([O-])[O-]; 6 mmol", product="OC(=O)c1ccc(OCc2ccccc2)cc1")
    job = Job(mixture)
    water_ml = trial.neutralising_ml(mixture)
    trials, after = trial.uptakes(job, ETHER, (), (), SOLUTIONS[:2], pot_ph=3.0)
    step = Step("neutralise", solvent="diethyl_ether", volume_ml=water_ml, target_ph=3.0)
    for made, solution in zip(trials, SOLUTIONS[:2], strict=True):
        book, last = _ledger(mixture, [*_started(mixture), step], solution)
        brought = run_ledger(mixture, [*_started(mixture), step], draws=1)
        for c in ("product", "c1"):
            assert after[c] == pytest.approx(float(brought.left(c)[0]), rel=1e-3, abs=1e-5)
            expected = [float(book.fraction(c, x.organic_mmol)[0]) for x in book.contacts if x.step == last]
            assert made.left[c] == pytest.approx(expected, rel=2e-3, abs=1e-5)


@pytest.mark.parametrize("poured", [None, "hcl_1m"])
def test_a_trial_after_the_salt_was_rinsed_in_the_water(poured: str | None) -> None:
    mixture = flask("[Na+].[OH-]; 14 mmol", "OCc1ccccc1; 10 mmol", product="OC(=O)c1ccc(OCc2ccccc2)cc1")
    water = bottle(poured) if poured else None
    trials, after = trial.uptakes(
        Job(mixture), ETHER, (), (), SOLUTIONS[:1], pot_ph=3.0, rinsed=True, poured=water and (water, 0.0)
    )
    ml = trial.organic_volume_ml(mixture)
    steps = [
        *_started(mixture),
        Step("take up", solution=poured or "water", volume_ml=trial.neutralising_ml(mixture)),
        Step("rinse water", solvent="diethyl_ether", volume_ml=trial.rinse_ml(ml), repeats=2),
        Step("set ph", target_ph=3.0),
        Step("extract", solvent="diethyl_ether", volume_ml=ml),
    ]
    book = run_ledger(mixture, steps, draws=1)
    for c in ("product", "c2"):
        assert after[c] == pytest.approx(float(book.left(c)[0]), rel=0.04, abs=1e-3)
    assert len(trials) == 1


def test_a_trial_after_the_water_of_a_quench_was_parted() -> None:
    mixture = flask("OC(=O)c1ccccc1; 5 mmol", "CC(C)=O; 60 mmol", product="OCCc1ccccc1")
    trials, after = trial.uptakes(Job(mixture), ETHER, (), (), SOLUTIONS[:2], parted=(bottle("nahco3_sat"), 15.0))
    parted = Step("part", solution="nahco3_sat", volume_ml=15.0)
    brought = run_ledger(mixture, [*_started(mixture), parted], draws=1)
    for made, solution in zip(trials, SOLUTIONS[:2], strict=True):
        book, last = _ledger(mixture, [*_started(mixture), parted], solution)
        for c in ("product", "c1", "c2"):
            # The product counts from there; of the others all that was in the flask.
            whole = float(brought.left("product")[0]) if c == "product" else 1.0
            assert after[c] == pytest.approx(1.0 if c == "product" else float(brought.left(c)[0]), rel=1e-3, abs=1e-7)
            expected = [float(book.fraction(c, x.organic_mmol)[0]) / whole for x in book.contacts if x.step == last]
            assert made.left[c] == pytest.approx(expected, rel=2e-3, abs=1e-6)


def _pot(mixture: Mixture, **more: object) -> trial.Pot:
    return trial.pot(Job(mixture), ETHER, (), (), **more)  # type: ignore[arg-type]


def test_the_flask_shaken_with_water_is_the_first_wash_of_a_ledger() -> None:
    mixture = flask("[Na+].[OH-]; 12 mmol", product="OC(=O)c1ccc(OCc2ccccc2)cc1")
    made = _pot(mixture)
    book, last = _ledger(mixture, _started(mixture), bottle("water"))
    first = next(c for c in book.contacts if c.step == last)
    assert made.ph == pytest.approx(float(first.ph[0]), abs=1e-3)
    assert made.kept == pytest.approx(float(book.fraction("product", first.organic_mmol)[0]), rel=1e-3)
    assert made.kept < 0.1 < 0.99 < made.neutral_3 < made.neutral
    assert made.log_p == trial.best_log_d(mixture.product, table(Solvent)["1-octanol"]) and made.ions
    acid = _pot(mixture, poured=(bottle("hcl_1m"), 30.0))
    assert acid.kept > 0.99 and acid.ph < 2 and acid.ions


# Others in the flask, product, whether what is there shifts the pH.
IONS = [
    ((), PRODUCT, False),
    (("CCCCCC; 5 mmol",), PRODUCT, False),
    (("[Na+].[OH-]; 0.1 mmol",), PRODUCT, False),  # a hundredth of the product
    (("[Na+].[OH-]; 0.3 mmol",), PRODUCT, True),
    (("Cl; 0.3 mmol",), PRODUCT, True),
    (("OC(=O)C(F)(F)F; 1 mmol",), PRODUCT, True),
    (("OC(=O)c1ccccc1; 5 mmol",), PRODUCT, False),
    (("OC(=O)c1ccccc1; 5 mmol",), "NCCCCCCCC", True),  # it holds an amine as its salt
    (("Oc1ccccc1; 5 mmol",), "NCCCCCCCC", False),
    (("[K+].[K+].O=C([O-])[O-]; 5 mmol",), PRODUCT, True),
]


@pytest.mark.parametrize(("others", "product", "ions"), IONS)
def test_ions_in_the_pot(others: tuple, product: str, ions: bool) -> None:
    assert _pot(flask(*others, product=product)).ions is ions


def test_what_was_quenched_counts_no_more() -> None:
    mixture = flask("Cl; 5 mmol", "OC(=O)C(F)(F)F; 5 mmol")
    job = Job(mixture)
    assert trial.pot(job, ETHER, ("c1",), ()).ions and trial.pot(job, ETHER, ("c2",), ()).ions
    assert not trial.pot(job, ETHER, ("c1", "c2"), ()).ions


def test_steps_of_a_swap_and_of_a_flask_brought_to_a_ph() -> None:
    mixture = flask(product="OC(=O)c1ccc(OCc2ccccc2)cc1", mmol=30.0, solvents=(("ether", 100.0),))
    ml = trial.organic_volume_ml(mixture)
    up, rinse, acid, back = trial.swap_steps(mixture, ETHER, bottle("naoh_1m"), 2.5)
    assert (up.action, up.solution, up.volume_ml, up.repeats) == ("take up", "naoh_1m", 0.4 * ml, 3)
    assert (rinse.action, rinse.solvent, rinse.volume_ml, rinse.repeats) == (
        "rinse water",
        "diethyl_ether",
        trial.rinse_ml(ml),
        2,
    )
    assert (acid.action, acid.target_ph) == ("set ph", 2.5)
    assert (back.action, back.volume_ml, back.repeats) == ("extract", trial.round_volume(0.5 * ml), 3)
    weak = trial.swap_steps(mixture, ETHER, replace(bottle("naoh_1m"), molarity_m=0.1), 2.5)[0]
    assert weak.volume_ml == pytest.approx(150.0)
    (plain,) = trial.pot_steps(mixture, ETHER, 3.0, rinsed=False)
    assert (plain.action, plain.target_ph, plain.repeats, plain.volume_ml) == (
        "neutralise",
        3.0,
        2,
        trial.neutralising_ml(mixture),
    )
    rinsed = trial.pot_steps(mixture, ETHER, 3.0, rinsed=True)
    assert [s.action for s in rinsed] == ["take up", "rinse water", "set ph", "extract"]
    assert [s.repeats for s in rinsed] == [1, 2, 1, 3] and rinsed[0].solution == "water" and rinsed[2].target_ph == 3.0
    assert [s.volume_ml for s in rinsed] == [
        trial.neutralising_ml(mixture),
        trial.rinse_ml(ml),
        0.0,
        trial.round_volume(0.5 * ml),
    ]
    (poured, *_) = trial.pot_steps(mixture, ETHER, 3.0, True, (bottle("hcl_1m"), 1e3))
    assert (poured.solution, poured.volume_ml) == ("hcl_1m", 1e3)


def test_a_swap_brings_an_acid_back_and_leaves_the_neutral_behind() -> None:
    mixture = flask("CCCCCCCCc1ccccc1; 5 mmol", product="OC(=O)c1ccc(OCc2ccccc2)cc1")
    left = trial.swap(Job(mixture), ETHER, (), (), bottle("naoh_1m"), 2.0)
    assert left["product"] > 0.97 and left["c1"] < 0.01
    again = trial.swap(Job(mixture), ETHER, (), (), bottle("naoh_1m"), 2.0, pot_ph=3.0, washes=[bottle("hcl_1m")])
    assert again["product"] == pytest.approx(left["product"], abs=0.02)
    gone = trial.swap(Job(mixture), ETHER, ("c1",), (), bottle("naoh_1m"), 2.0)
    assert gone["c1"] == 0.0
    none = trial.swap(Job(mixture), ETHER, (), (), bottle("hcl_1m"), 2.0)
    assert none["product"] < 0.05


def test_the_first_layer() -> None:
    mixture = flask(*OTHERS)
    layer = trial.start_layer(sheet(mixture, 1), ETHER, 40.0, ("c3",), ("c2",))
    assert layer.volume_ml == 40.0 and layer.mass_g == pytest.approx(40.0 * ETHER.density_g_ml)
    assert layer.solvents == ((ETHER.log_k_key, 1.0),) and (layer.strong_mmol == 12.0).all()
    assert layer.mmol[:, 0].tolist() == pytest.approx(
        [10.0, 5.0, 5.0, 0.0, 6.0, 6.0]
    )  # benzoic acid holds 5 mmol of the amine
