"""Which layer each step of a written workup is done to: the streams of a text, and the one that each step goes on with.

What a stream is named and parted by is given as ``w0.1A``: water, from stream 0, in step 1, called A.
"""

from __future__ import annotations

import pytest

from washlore.rules.reading import read_plan
from washlore.rules.reading.streams import Streams, streams_of

HCL = "Extract the ether with 1 M HCl (2 x 20 mL). "
NAOH = "Extract the ether with 1 M NaOH (2 x 20 mL). "
ONE, TWO = "Extract the ether with 1 M HCl (flask 1). ", "Extract the ether with 1 M NaOH (flask 2). "
BASIC = "Basify the aqueous layer with 6 M NaOH to pH 12, extract with ether"


def followed(text: str) -> Streams:
    return streams_of(read_plan(text, several=True))


def shown(found: Streams) -> str:
    return " ".join(f"{s.phase[0].replace('a', 'w')}{s.parent}.{s.born}{s.label}" for s in found.streams[1:])


@pytest.mark.parametrize(
    ("text", "steps", "streams"),
    [
        # a wash goes on with the organic layer, whatever becomes of its water
        (HCL + "Set the aqueous layer aside. Wash with brine, dry, evaporate.", "0000", "w0.1 w0.2"),
        (HCL + "The aqueous layer is kept. Wash with brine, dry, evaporate.", "0000", "w0.1 w0.2"),
        (HCL + "\nThen the flask A was put away for good until later\nWash with brine, dry.", "000", "w0.1 w0.2"),
        # the water of the reaction
        ("Extract with ether. Wash with 1 M HCl. Acidify the aqueous layer to pH 2 and filter.", "0011", "w0.1 w0.2"),
        # what is extracted from water is a stream of its own, once more until that water is changed
        (HCL + BASIC + ", extract with ether. Dry, evaporate.", "012222", "w0.1 o1.3"),
        (
            "Extract with ether. Acidify the aqueous layer with 6 M HCl to pH 2, extract with ether. Basify the aqueous layer "
            "with 6 M NaOH to pH 12. Extract with ether. Dry and evaporate.",
            "0121333",
            "w0.1 o1.3 o1.5",
        ),
        (HCL + BASIC + ", wash this ether layer with brine, dry.", "01222", "w0.1 o1.3 w2.4"),
        (HCL + BASIC + ", dry and evaporate. Wash the ether layer with brine, dry.", "0122200", "w0.1 o1.3 w0.6"),
        (HCL + BASIC + ". Wash the original ether layer with brine, dry.", "01200", "w0.1 o1.3 w0.4"),
        (HCL + BASIC + ", dry, evaporate. Dry the ether, evaporate.", "0122200", "w0.1 o1.3"),
        # so is what water is rinsed with, until acid or base draws from the organic layer again
        (HCL + "Extract the aqueous layer with ether. Wash the ether with 1 M NaOH. Dry.", "0200", "w0.1 o1.2 w0.3"),
        (
            HCL + "Extract the aqueous layer with ether and add this to the organic layer. Wash with water, dry.",
            "0200",
            "w0.1 o1.2 w0.3",
        ),
        (
            HCL
            + NAOH
            + "Basify the acid extract to pH 12, extract with ether. Extract the second aqueous extract with ether. "
            "Extract the ether with 1 M HCl. Dry.",
            "0013400",
            "w0.1 w0.2 o1.4 o2.5 w0.6",
        ),
        (HCL + "Wash the aqueous layer with ether. Basify with 6 M NaOH to pH 12.", "021", "w0.1 o1.2"),
        (HCL + BASIC.partition(",")[0] + ". Dry over MgSO4, evaporate.", "0100", "w0.1"),
        (HCL + "Basify the aqueous layer to pH 12. Wash with brine.", "010", "w0.1 w0.3"),
        (HCL + "Extract the aqueous layer with ether, wash with brine, dry.", "0222", "w0.1 o1.2 w2.3"),
        (HCL + "Basify the aqueous layer to pH 12, cool, filter.", "0111", "w0.1"),
        (
            HCL + BASIC + ", dry, evaporate, keep the aqueous layer and wash the ether with brine.",
            "012220",
            "w0.1 o1.3 w0.6",
        ),
        (
            HCL + NAOH + "Acidify the 2nd aqueous extract to pH 1. Basify the 1st aqueous extract to pH 12.",
            "0021",
            "w0.1 w0.2",
        ),
        (HCL + BASIC + ", and combine this with the original ether. Dry.", "01220", "w0.1 o1.3"),
        (
            HCL
            + NAOH
            + "Basify the acid extract to pH 12, extract with ether. Acidify the second aqueous extract to pH 1. "
            "Wash the ether layer with brine.",
            "001320",
            "w0.1 w0.2 o1.4 w0.6",
        ),
        (
            HCL
            + NAOH
            + "Basify the acid extract to pH 12, extract with ether. Adjust the aqueous layer to pH 13, extract "
            "with ether.",
            "001314",
            "w0.1 w0.2 o1.4 o1.6",
        ),
        (HCL + NAOH + "Basify the acid extract to pH 12. Cool the aqueous layer, filter.", "00111", "w0.1 w0.2"),
        ("Extract with ether. Wash with 1 M HCl. Basify the acid layer to pH 12.", "002", "w0.1 w0.2"),
        # names
        (ONE + "Wash with brine, dry. Basify flask 1 to pH 12.", "0001", "w0.11 w0.2"),
        (ONE + TWO + "To the contents of flask 1 add 6 M NaOH to pH 12.", "001", "w0.11 w0.22"),
        (
            ONE + TWO + "Acidify flask 2 to pH 1, filter. Adjust flask 2 to pH 12 and extract with ether.",
            "002223",
            "w0.11 w0.22 o2.6",
        ),
        ("Extract with 1 M HCl into flask A and wash with brine, dry. Basify flask A to pH 12.", "0001", "w0.1A w0.2"),
        (
            "Extract with 1 M HCl (flask B), then with 1 M NaOH (flask A), dry. Acidify flask A to pH 1.",
            "0002",
            "w0.1B w0.2A",
        ),
        (
            HCL
            + NAOH
            + "Evaporate the ether. Acidify extract B to pH 1 and filter. Basify extract A to pH 12 and filter.",
            "0002211",
            "w0.1 w0.2B",
        ),
        (
            HCL + NAOH + "Basify the first aqueous extract to pH 12. Acidify the second aqueous extract to pH 1.",
            "0012",
            "w0.1 w0.2",
        ),
        (HCL + NAOH + "Acidify the 3rd aqueous extract to pH 1 and filter.", "0022", "w0.1 w0.2"),
        (
            HCL + NAOH + "The acid extract was made basic with 6 M NaOH to pH 12 and extracted with ether.",
            "0013",
            "w0.1 w0.2 o1.4",
        ),
        (
            "Extract with 10% Na2CO3. Extract the ether with 1 M NaOH. Acidify the carbonate extract to pH 2, filter. Acidify "
            "the basic extract to pH 2, filter. Evaporate the ether.",
            "0011220",
            "w0.1 w0.2",
        ),
        (
            HCL + BASIC + ", wash the ether layer with 5% NaHCO3, dry. Acidify the bicarbonate extract to pH 1.",
            "012223",
            "w0.1 o1.3 w2.4",
        ),
        # headings
        (
            HCL
            + NAOH
            + "\n\nNeutral fraction\nDry, evaporate.\n\nFlask A\nBasify to pH 12.\n\nFlask B:\nAcidify to pH 1.\n",
            "000012",
            "w0.1 w0.2",
        ),
        (
            HCL + NAOH + "\n\n## The organic layer\nDry, evaporate.\n\n1. The acidic extract\nBasify to pH 12.\n",
            "00001",
            "w0.1 w0.2",
        ),
        (HCL + NAOH + "Dry.\nFlask A\nBasify to pH 12.", "0001", "w0.1 w0.2"),
        (HCL + BASIC + ", dry.\n\nOrganic layer\nDry, evaporate.", "012200", "w0.1 o1.3"),
        (HCL + "\n\nOrganic layer\nThe aqueous layer is flask C.\nDry. Basify flask C to pH 12.", "001", "w0.1C"),
        (HCL + "\n\nWorkup\nBasify the aqueous layer to pH 12.", "01", "w0.1"),
        # no word says it, but what is done does
        (
            HCL + NAOH + "Dry. Basify to pH 12, extract with ether, evaporate. Acidify to pH 1 and filter.",
            "00013322",
            "w0.1 w0.2 o1.5",
        ),
        (
            HCL + NAOH + "Dry. Acidify with 6 M HCl and filter. Basify with 6 M NaOH, extract with ether.",
            "0002213",
            "w0.1 w0.2 o1.7",
        ),
        (HCL + NAOH + "Dry. Basify with 6 M NaOH and filter. Acidify with 6 M HCl and filter.", "0001122", "w0.1 w0.2"),
        # an acid or base that is added is a wash where it is shaken and parted
        (
            "Add 20 mL 1 M NaOH to the ether, shake and separate. Acidify the aqueous layer to pH 1, filter.",
            "011",
            "w0.1",
        ),
        ("Add 20 mL 1 M NaOH to the ether, stir. Dry, evaporate.", "000", ""),
        ("Add 20 mL 1 M NaOH, shake in a separatory funnel. Extract with ether. Dry.", "000", "w0.2"),
        ("Add 20 mL water, shake in a separatory funnel. Dry, evaporate.", "000", ""),
        ("Add 20 mL 1 M NaOH, separate the layers: extract with ether. Dry.", "000", "w0.1 w0.2"),
        ("Add 20 mL 1 M NaOH, separate the layers. Extract with ether. Dry.", "000", "w0.2"),
        # a solvent washes away nothing into water
        ("Dilute with acetonitrile, wash with hexane, concentrate.", "000", ""),
        # what stands in another vessel, or is measured, is no stream
        ("Add the ether to the aqueous layer. Extract with 20 mL of sat. NaHCO3 solution, dry.", "000", "w0.2"),
    ],
)
def test_each_step_is_done_to_the_layer_that_is_meant(text: str, steps: str, streams: str) -> None:
    found = followed(text)
    assert ("".join(map(str, found.of_step)), shown(found)) == (steps, streams)
    assert not found.joined and not found.rinses


@pytest.mark.parametrize(
    ("text", "joined"),
    [
        ("Wash the ether with 1 M HCl. Wash the ether with 1 M HCl. Dry.", {2: 1}),
        ("Wash with sat. NaHCO3, vent. Wash with sat. NaHCO3. Wash with sat. NaHCO3. Dry.", {3: 1, 4: 1}),
        ("Wash the ether with 1 M HCl. Wash with brine. Wash the ether with 1 M HCl. Dry.", {}),
        ("Wash the ether with 1 M HCl. Wash with brine. Wash with brine. Dry.", {3: 2}),
        ("Wash with 1 M HCl, wash with 1 M HCl into flask C, dry.", {2: 1}),
    ],
)
def test_a_further_portion_joins_the_first_unless_another_wash_is_between(text: str, joined: dict[int, int]) -> None:
    found = followed(text)
    assert found.joined == joined and set(found.of_step) == {0}


def test_a_solid_is_rinsed_where_it_was_collected() -> None:
    found = followed(
        HCL + "Basify the aqueous layer to pH 12, filter, wash with cold water. Wash the ether with brine."
    )
    assert (found.of_step, found.rinses) == ((0, 1, 1, 1, 0), {4})
    # near miss: nothing was filtered off
    found = followed(HCL + "Basify the aqueous layer to pH 12, extract with ether, wash with cold water.")
    assert (found.of_step, found.rinses) == ((0, 1, 2, 2), frozenset())


def test_a_stream_knows_where_it_comes_from() -> None:
    found = followed(
        HCL + NAOH + "Basify the first aqueous extract to pH 12, extract with ether, wash with brine, dry."
    )
    assert shown(found) == "w0.1 w0.2 o1.4 w3.5"
    assert [found.children(n) for n in range(5)] == [[1, 2], [3], [], [4], []]
    assert [found.chain(n) for n in (0, 2, 4)] == [[0], [0, 2], [0, 1, 3, 4]]
    assert [found.steps_of(n) for n in range(5)] == [[1, 2], [3], [], [4, 5, 6], []]
