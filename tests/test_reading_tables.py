"""Plans as tables: CSV, TOML, and tables drawn in a text."""

from __future__ import annotations

import pytest
from readings import short

from washlore.rules.reading import ReadingError, read_plan, read_table

CSV = """step,solution,strength,volume,repeats,layer kept
extract,EtOAc,,20 mL,3,organic
wash,HCl,1 M,20,2,organic
wash,NaHCO3,sat.,"20,5 mL",1,top
wash,brine,,,,
dry,MgSO4,,,,
filter,,,,,
concentrate,,,,,
"""
TOML = """
[[step]]
step = "acidify"
ph = 2
solution = "HCl"
strength = "6 M"

[[step]]
step = "extract"
solution = "ether"
volume = "30 mL"
repeats = 2
layer_kept = "organic"

[[step]]
step = "frobnicate"
"""


def test_csv_table():
    plan = read_table(CSV, "csv")
    assert [short(s) for s in plan.steps] == [
        "extract ethyl_acetate 3x20",
        "wash hcl_1m 2x20",
        "wash nahco3_sat 20.5",
        "wash brine",
        "dry mgso4",
        "filter off desiccant",
        "concentrate",
    ]
    assert [(s.phase_kept, s.layer_kept) for s in plan.steps[:4]] == [
        ("organic", ""),
        ("organic", ""),
        ("", "top"),
        ("", ""),
    ]
    assert plan.steps[1].words == "wash,HCl,1 M,20,2,organic" == CSV[plan.steps[1].start : plan.steps[1].end]
    assert not plan.unread


def test_toml_table():
    plan = read_table(TOML, "toml")
    assert [short(s) for s in plan.steps] == ["set ph hcl_6m pH2", "extract diethyl_ether 2x30"]
    assert plan.steps[1].phase_kept == "organic"
    assert TOML[plan.steps[1].start :].startswith("[[step]]")
    assert len(plan.unread) == 1 and "frobnicate" in plan.unread[0].words


def test_semicolon_table_and_numbered_steps():
    plan = read_table("Step;Solution;Volume\n1;water;10 mL\n2;sat. NaCl;10 mL\n3;;\n", "csv")
    assert [short(s) for s in plan.steps] == ["wash water 10", "wash brine 10"]
    assert len(plan.unread) == 1


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("", "csv", "empty"),
        ("a,b\n1,2\n", "csv", "step or solution"),
        ("step,solution\n", "csv", "no step"),
        ("x = ", "toml", "TOML"),
        ("x = 1", "toml", "[[step]]"),
        ("x", "yaml", "csv or toml"),
    ],
)
def test_tables_that_cannot_be_read(text, kind, said):
    with pytest.raises(ReadingError, match=said.replace("[", r"\[")):
        read_table(text, kind)


def test_a_remark_and_an_empty_line_are_no_rows_and_what_is_beyond_the_columns_is_told():
    plan = read_table(
        "step,solution,strength,volume\n# Monday\nwash,HCl,1,20 mL\n\nwash,brine,,20,spilt,twice\n", "csv"
    )
    assert [short(s) for s in plan.steps] == ["wash hcl_1m 20", "wash brine 20"]
    assert [u.reason for u in plan.unread] == ["not read: spilt, twice"]


def test_a_layer_that_is_not_known_is_told_and_a_solvent_names_its_layer():
    plan = read_table(
        "step,solution,volume,layer kept\nwash,water,20 mL,left\nwash,brine,a little,-\nextract,ether,20 mL,ether layer\n",
        "csv",
    )
    assert [(short(s), s.phase_kept) for s in plan.steps] == [
        ("wash water 20", ""),
        ("wash brine", ""),
        ("extract diethyl_ether 20", "organic"),
    ]
    assert "a little: no volume counted" in plan.steps[1].assumed
    assert [u.words for u in plan.unread] == ["wash,water,20 mL,left"]
    assert plan.unread[0].reason.startswith("the layer kept, 'left', is not known")


def test_a_cell_that_says_all_and_a_column_of_drying_agents():
    plan = read_table("step,volume,desiccant\nwash with water,20 mL,\n,,MgSO4\nwash,,\n", "csv")
    assert [short(s) for s in plan.steps] == ["wash water 20", "dry mgso4"]
    assert [u.words for u in plan.unread] == ["wash,,"]


def test_toml_keys_that_say_nothing_here_are_told():
    plan = read_table('[[step]]\nstep = "wash"\nsolution = "brine"\nwho = "me"\nrepeats = ""\nvolume = [20]\n', "toml")
    assert [short(s) for s in plan.steps] == ["wash brine"]
    assert [u.reason for u in plan.unread] == ["not read: who = me volume = [20]"]


def test_a_table_of_too_many_rows_is_refused():
    with pytest.raises(ReadingError, match="600 rows; a plan of up to 500 steps"):
        read_table("step,solution\n" + "wash,water\n" * 600, "csv")


DRAWN = {
    "strokes": "| step | solution | volume |\n|---|---|---|\n| wash | 1 M HCl | 20 mL |\n| wash | brine | 20 mL |\n",
    "tabs": "step\tsolution\tvolume\n---\t---\t---\nwash\t1 M HCl\t20 mL\nwash\tbrine\t20 mL\n",
    "a frame": "+--+--+\n| step | solution | volume |\n+--+--+\n| wash | 1 M HCl | 20 mL |\n| wash | brine | 20 mL |\n+--+--+\n",
    "no right edge": "| step | solution | volume\n| wash | 1 M HCl | 20 mL\n| wash | brine | 20 mL\n",
}


@pytest.mark.parametrize("text", DRAWN.values(), ids=DRAWN)
def test_a_table_drawn_in_a_text_is_read_as_one(text):
    plan = read_plan(text)
    assert [short(s) for s in plan.steps] == ["wash hcl_1m 20", "wash brine 20"]
    assert not plan.unread and all(text[s.start : s.end] == s.words for s in plan.steps)


def test_a_table_among_prose_is_read_as_prose():
    plan = read_plan(
        "| who | what | when |\n| A | B | C |\n| D | E | F |\nWash with brine (20 mL).\nDry over MgSO4.\nFilter.\n"
    )
    assert [short(s) for s in plan.steps] == ["wash brine 20", "dry mgso4", "filter off desiccant"]


def test_a_mixture_file_is_no_plan() -> None:
    with pytest.raises(ReadingError, match=r"describes a mixture .* and no plan"):
        read_table('[product]\nsmiles = "CCO"\n[[others]]\nname = "pyridine"\n', "toml")
    plan = read_table('[[step]]\nstep = "wash"\nsolution = "brine"\n[product]\nsmiles = "CCO"\n', "toml")
    assert [s.solution for s in plan.steps] == ["brine"]
