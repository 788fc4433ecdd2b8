"""What people call solutions, solvents and drying agents, and which row of the tables each of them means.

Everything here is lower case, with ``sulf`` for ``sulph`` and without hyphens, as ``characters`` compares it.
"""

from __future__ import annotations

from washlore.knowledge.records import dataclass

from .trade import names as _names


@dataclass(frozen=True)
class Solute:
    """What is dissolved: how it is called, the row that is meant without a strength, and all of its rows.

    ``equivalents`` turns normality into molarity. ``stands_for`` says what the tables lack where another row is used.
    """

    names: tuple[str, ...]
    usual: str
    rows: tuple[str, ...]
    equivalents: int = 1
    stands_for: str = ""


SOLUTES: dict[str, Solute] = {
    "water": Solute(
        _names(
            "water|h2o|h20|distilled water|deionised water|deionized water|di water|dh2o|di h2o|"
            "demineralised water|demineralized water|tap water|wasser|destilliertes wasser|milliq water|aqua dest|"
            "d2o|heavy water|deuterium oxide"
        ),
        "water",
        ("water",),
    ),
    "ice_water": Solute(
        _names(
            "ice water|iced water|cold water|ice cold water|ice|crushed ice|ice and water|water and ice|"
            "ice chips|chilled water|eiswasser|water ice|ice/water|water/ice|mixture of ice and water|"
            "mixture of water and ice|ice cubes|cracked ice|ice h2o|ice/h2o|h2o/ice|ice cold h2o|cold h2o"
        ),
        "ice_water",
        ("ice_water",),
    ),
    "brine": Solute(
        _names(
            "brine|brined|brine'd|saline|sodium chloride|nacl|salt solution|salt water|saltwater|common salt|salt brine|"
            "brine solution|salty water|salty solution|saline solution|kochsalzlösung|kochsalzloesung|table salt|"
            "sodium chloride brine|natriumchlorid|kochsalz|water saturated with sodium chloride|water saturated with nacl|"
            "water saturated with salt|salt saturated water|nacl saturated water|sodium chloride saturated water"
        ),
        "brine",
        ("brine", "half_brine"),
    ),
    "na2so4": Solute(_names("sodium sulfate|na2so4|natriumsulfat"), "na2so4_sat", ("na2so4_sat",)),
    "nh42so4": Solute(_names("ammonium sulfate|(nh4)2so4|nh42so4"), "nh42so4_sat", ("nh42so4_sat",)),
    "licl": Solute(_names("lithium chloride|licl"), "licl_5", ("licl_5", "licl_10")),
    "cacl2": Solute(_names("calcium chloride|cacl2"), "cacl2_10", ("cacl2_10",)),
    "nahco3": Solute(
        _names(
            "nahco3|sodium bicarbonate|sodium hydrogen carbonate|sodium hydrogencarbonate|sodium acid carbonate|"
            "bicarb|bicarbonate|bicarbonate of soda|sodium hydrocarbonate|hydrogen carbonate|hydrogencarbonate|"
            "natriumhydrogencarbonat|bicarbonat|sodium bicarb|natriumbicarbonat|baking soda|nabicarb|na bicarb|"
            "na bicarbonate|bicarb soda|nahc03|nahco"
        ),
        "nahco3_sat",
        ("nahco3_sat", "nahco3_5"),
    ),
    "khco3": Solute(
        _names("khco3|potassium bicarbonate|potassium hydrogen carbonate|potassium hydrogencarbonate"),
        "nahco3_sat",
        ("nahco3_sat", "nahco3_5"),
        stands_for="potassium hydrogen carbonate is read as sodium hydrogen carbonate",
    ),
    "na2co3": Solute(
        _names("na2co3|sodium carbonate|soda solution|soda|washing soda|soda ash|natriumcarbonat|carbonate"),
        "na2co3_10",
        ("na2co3_10", "na2co3_sat"),
        2,
    ),
    "k2co3": Solute(
        _names("k2co3|potassium carbonate|potash|kaliumcarbonat"), "k2co3_10", ("k2co3_10", "k2co3_sat"), 2
    ),
    "cs2co3": Solute(
        _names("cs2co3|cesium carbonate|caesium carbonate"),
        "k2co3_10",
        ("k2co3_10", "k2co3_sat"),
        2,
        "caesium carbonate is read as potassium carbonate",
    ),
    "naoh": Solute(
        _names(
            "naoh|sodium hydroxide|caustic soda|caustic|caustic solution|lye|natronlauge|natriumhydroxid|"
            "soda lye|sodium hydrate"
        ),
        "naoh_1m",
        ("naoh_01m", "naoh_05m", "naoh_1m", "naoh_2m", "naoh_3m", "naoh_5pct", "naoh_10pct", "naoh_15pct"),
    ),
    "base": Solute(
        _names("base|alkali|hydroxide|hydroxide solution|caustic alkali|lauge"),
        "naoh_1m",
        ("naoh_01m", "naoh_05m", "naoh_1m", "naoh_2m", "naoh_3m", "naoh_5pct", "naoh_10pct", "naoh_15pct"),
        stands_for="a base without a name is read as sodium hydroxide",
    ),
    "koh": Solute(_names("koh|potassium hydroxide|caustic potash|kalilauge"), "koh_1m", ("koh_1m",)),
    "lioh": Solute(_names("lioh|lithium hydroxide"), "lioh_1m", ("lioh_1m",)),
    "ammonia": Solute(
        _names(
            "ammonia|nh3|nh4oh|ammonium hydroxide|aqueous ammonia|ammonia water|ammoniak|ammonia solution|"
            "ammonium hydroxide solution|liquor ammonia"
        ),
        "ammonia_10",
        ("ammonia_10", "nh3_conc"),
    ),
    "hcl": Solute(
        _names(
            "hcl|hcl acid|hydrochloric acid|hydrochloric|hydrogen chloride|muriatic acid|salzsäure|salzsaeure|hci|"
            "aqueous hydrogen chloride"
        ),
        "hcl_1m",
        ("hcl_01m", "hcl_05m", "hcl_1m", "hcl_2m", "hcl_3m", "hcl_4m", "hcl_6m", "hcl_5pct", "hcl_10pct"),
    ),
    "acid": Solute(
        _names("acid|mineral acid|aqueous acid|acid solution|acid water|acidic water|acidified water|säure"),
        "hcl_1m",
        ("hcl_01m", "hcl_05m", "hcl_1m", "hcl_2m", "hcl_3m", "hcl_4m", "hcl_6m", "hcl_5pct", "hcl_10pct"),
        stands_for="an acid without a name is read as hydrochloric acid",
    ),
    "h2so4": Solute(
        _names("h2so4|sulfuric acid|schwefelsäure|schwefelsaeure|oil of vitriol"), "h2so4_1m", ("h2so4_1m",), 2
    ),
    "hno3": Solute(_names("hno3|nitric acid"), "hno3_1m", ("hno3_1m",)),
    "khso4": Solute(
        _names("khso4|potassium bisulfate|potassium hydrogen sulfate|potassium hydrogensulfate|potassium acid sulfate"),
        "khso4_1m",
        ("khso4_1m", "khso4_5", "khso4_10"),
    ),
    "nahso4": Solute(
        _names("nahso4|sodium bisulfate|sodium hydrogen sulfate|sodium hydrogensulfate|bisulfate"),
        "nahso4_1m",
        ("nahso4_1m",),
    ),
    "h3po4": Solute(_names("h3po4|phosphoric acid|orthophosphoric acid"), "h3po4_1m", ("h3po4_1m",), 3),
    "citric": Solute(
        _names("citric acid|citric|zitronensäure|citronensäure|citric acid monohydrate"),
        "citric_10",
        ("citric_5", "citric_10", "citric_1m"),
        3,
    ),
    "tartaric": Solute(_names("tartaric acid|l tartaric acid"), "tartaric_10", ("tartaric_10",), 2),
    "oxalic": Solute(_names("oxalic acid"), "oxalic_05m", ("oxalic_05m",), 2),
    "acetic": Solute(
        _names("acetic acid|acoh|hoac|ch3cooh|ch3co2h|vinegar|essigsäure|glacial acetic acid|glacial acoh"),
        "acetic_10",
        ("acetic_5", "acetic_10"),
    ),
    "nh4cl": Solute(
        _names("nh4cl|ammonium chloride|ammoniumchlorid|sal ammoniac"),
        "nh4cl_sat",
        ("nh4cl_sat", "nh4cl_half", "nh4cl_10"),
    ),
    "nah2po4": Solute(
        _names(
            "nah2po4|monosodium phosphate|sodium dihydrogen phosphate|sodium dihydrogenphosphate|"
            "sodium phosphate monobasic|monobasic sodium phosphate"
        ),
        "nah2po4_1m",
        ("nah2po4_1m",),
    ),
    "kh2po4": Solute(
        _names("kh2po4|potassium dihydrogen phosphate|potassium dihydrogenphosphate|monobasic potassium phosphate"),
        "kh2po4_1m",
        ("kh2po4_1m",),
    ),
    "k3po4": Solute(_names("k3po4|tripotassium phosphate|tribasic potassium phosphate"), "k3po4_1m", ("k3po4_1m",)),
    "na2hpo4": Solute(
        _names(
            "na2hpo4|k2hpo4|disodium phosphate|dipotassium phosphate|disodium hydrogen phosphate|"
            "sodium hydrogen phosphate|dibasic sodium phosphate|disodium hydrogenphosphate|"
            "dipotassium hydrogen phosphate"
        ),
        "phosphate_ph8",
        ("phosphate_ph8",),
        stands_for="hydrogen phosphate is read as phosphate buffer of pH 8",
    ),
    "na2s2o3": Solute(
        _names(
            "na2s2o3|sodium thiosulfate|thiosulfate|hypo|sodium hyposulfite|photographic hypo|natriumthiosulfat|"
            "na thiosulfate|thiosulfat|sodium thiosulfate pentahydrate|sodium thiosulfate solution"
        ),
        "na2s2o3_10",
        ("na2s2o3_10", "na2s2o3_sat", "na2s2o3_1m"),
    ),
    "na2s2o3_nahco3": Solute(
        _names(
            "na2s2o3/nahco3|thiosulfate/bicarbonate|thiosulfate/bicarb|nahco3/na2s2o3|bicarbonate/thiosulfate|"
            "bicarb/thiosulfate"
        ),
        "na2s2o3_nahco3",
        ("na2s2o3_nahco3",),
    ),
    "na2so3": Solute(_names("na2so3|sodium sulfite|sulfite|natriumsulfit"), "na2so3_10", ("na2so3_10", "na2so3_sat")),
    "nahso3": Solute(
        _names(
            "nahso3|sodium bisulfite|bisulfite|sodium hydrogen sulfite|sodium hydrogensulfite|"
            "sodium metabisulfite|sodium meta bisulfite|sodium meta-bisulfite|metabisulfite|na2s2o5|"
            "natriumhydrogensulfit|natriumbisulfit|sodium acid sulfite|sodium pyrosulfite"
        ),
        "nahso3_sat",
        ("nahso3_sat", "nahso3_10"),
    ),
    "ascorbate": Solute(_names("sodium ascorbate|ascorbate"), "ascorbate_10", ("ascorbate_10",)),
    "dithionite": Solute(
        _names("na2s2o4|sodium dithionite|sodium hydrosulfite|dithionite|hydrosulfite"),
        "dithionite_10",
        ("dithionite_10",),
    ),
    "feso4": Solute(_names("feso4|ferrous sulfate|iron(ii) sulfate|iron sulfate"), "feso4_10", ("feso4_10",)),
    "edta": Solute(_names("edta|na2edta|disodium edta|edta disodium salt|edta na2"), "edta_01m", ("edta_01m",)),
    "cuso4": Solute(
        _names("cuso4|copper sulfate|cupric sulfate|copper(ii) sulfate|blue vitriol"), "cuso4_sat", ("cuso4_sat",)
    ),
    "rochelle": Solute(
        _names(
            "rochelle salt|rochelle's salt|rochelles salt|rochelle salts|rochelle|potassium sodium tartrate|"
            "sodium potassium tartrate|seignette salt|rochelle's salts|rochelle's|nak tartrate|"
            "kna tartrate|na k tartrate|sodium/potassium tartrate|potassium/sodium tartrate"
        ),
        "rochelle_sat",
        ("rochelle_sat",),
    ),
    "na3citrate": Solute(_names("sodium citrate|trisodium citrate"), "na3citrate_1m", ("na3citrate_1m",)),
    "kf": Solute(_names("kf|potassium fluoride"), "kf_10", ("kf_10", "kf_1m")),
    "thiourea": Solute(_names("thiourea"), "thiourea", ("thiourea",)),
    "nac": Solute(_names("n acetylcysteine|nac|n acetyl l cysteine|acetylcysteine"), "nac", ("nac",)),
    "cysteine": Solute(_names("cysteine|l cysteine"), "cysteine_5", ("cysteine_5",)),
    "dithiocarbamate": Solute(
        _names("sodium diethyldithiocarbamate|dithiocarbamate|ddtc|dtc"), "dithiocarbamate", ("dithiocarbamate",)
    ),
    "mannitol": Solute(_names("mannitol|d mannitol|mannitol/na2co3"), "mannitol", ("mannitol",)),
    "bleach": Solute(
        _names("bleach|naocl|naclo|sodium hypochlorite|household bleach|hypochlorite|clorox"), "bleach_5", ("bleach_5",)
    ),
    "h2o2": Solute(_names("h2o2|hydrogen peroxide|peroxide"), "h2o2_3", ("h2o2_3",)),
    "naoac": Solute(_names("naoac|sodium acetate"), "naoac_10", ("naoac_10",)),
    "nh4cl_nh3": Solute(
        _names(
            "nh4cl/nh4oh|nh4oh/nh4cl|nh4cl/nh3|ammonium chloride/ammonium hydroxide|ammonium chloride/ammonia|"
            "ammonium hydroxide/ammonium chloride"
        ),
        "nh4cl_nh3",
        ("nh4cl_nh3",),
    ),
    "buffer": Solute(_names("buffer|buffer solution|aqueous buffer|ph buffer"), "phosphate_ph7", ("phosphate_ph7",)),
    "phosphate": Solute(
        _names(
            "phosphate buffer|sodium phosphate buffer|potassium phosphate buffer|phosphate|sodium phosphate|"
            "potassium phosphate|phosphate buffered saline|pbs|phosphate buffer solution|buffered phosphate"
        ),
        "phosphate_ph7",
        ("phosphate_ph6", "phosphate_ph7", "phosphate_ph8"),
    ),
    "citrate": Solute(_names("citrate buffer|citrate"), "citrate_ph5", ("citrate_ph4", "citrate_ph5")),
    "acetate": Solute(_names("acetate buffer|sodium acetate buffer"), "acetate_ph5", ("acetate_ph5",)),
    "borate": Solute(_names("borate buffer|borax|borate|sodium tetraborate"), "borate_ph9", ("borate_ph9",)),
    "carbonate_buffer": Solute(_names("carbonate buffer"), "carbonate_ph10", ("carbonate_ph10",)),
    "tris": Solute(_names("tris buffer|tris hcl|tris"), "tris_ph8", ("tris_ph8",)),
}

# Buffers by the pH that is asked for, where the salt is not named.
BUFFERS: tuple[tuple[float, str], ...] = (
    (4.0, "citrate_ph4"),
    (5.0, "citrate_ph5"),
    (6.0, "phosphate_ph6"),
    (7.0, "phosphate_ph7"),
    (8.0, "phosphate_ph8"),
    (9.2, "borate_ph9"),
    (10.0, "carbonate_ph10"),
)

# Spellings of solvents beyond those of the table, by id.
SOLVENT_NAMES: dict[str, tuple[str, ...]] = {
    "diethyl_ether": _names(
        "ether|aether|diethyl oxide|ethyl oxide|ethyl ether|sulfuric ether|diethylether|ethylether|et20|ethers"
    ),
    "ethyl_acetate": _names(
        "ethylacetate|etac|ethyl acetat|acetic acid ethyl ester|acetic ester|essigester|ethylacetat|acetic ether|"
        "ethyl ethanoate|et acetate|et0ac"
    ),
    "dichloromethane": _names(
        "methylenechloride|methylenedichloride|dichloromethan|ch2c12|ch2ci2|mecl2|methylenchlorid|dichlormethan|"
        "dichlor methane|dichloro methane|meth chloride|methylene dichloride|di chloro methane|dcms"
    ),
    "chloroform": _names("chcl3|chloroforme|chc13|chci3"),
    "1,2-dichloroethane": _names("dichloroethane|ethylenedichloride|1.2 dichloroethane"),
    "petroleum_ether": _names(
        "petroleumether|petrol ether|petrolether|light petrol|benzine|petroleum benzine|skellysolve b|skelly b|"
        "petroleum naphtha|naphtha|petrolether|pet. ether"
    ),
    "hexane": _names("hexan|n hexanes|skellysolve"),
    "mtbe": _names("methyl tertiary butyl ether|methyl tert butylether|tert butylmethylether|tbme"),
    "toluene": _names("toluol|toluen"),
    "diisopropyl_ether": _names("diisopropylether|isopropylether|ipe"),
    "1-butanol": _names("n buoh|n butanol"),
    "2-methf": _names("2 methyl tetrahydrofuran|2 me thf|methyl thf"),
    "carbon_tetrachloride": _names("ccl4|cc14"),
    "xylene": _names("xylenes"),
}
# A hydrate that ends hydrides with its water and dries with what is left of it.
HYDRATES = _names(
    "sodium sulfate decahydrate|na2so4 decahydrate|glauber's salt|glauber salt|glaubers salt|na2so4 10h2o|na2so4 x 10h2o|"
    "na2so4.10h2o|na2so4*10h2o|na2so4•10h2o|hydrated sodium sulfate"
)
# Read only as capitals: written small they are other words.
CAPITALS_ONLY = frozenset({"EA", "PE", "EG", "TEA", "TBA", "PY", "DTC", "NAC"})
# Spellings of the solvent table that mean something else in a workup.
NOT_SOLVENTS = frozenset(
    {"hex", "py", "pyr", "edc", "dmc", "hac", "glycol", "petrol 40 60", "acoh", "hoac", "ch3cooh", "ch3co2h"}
)

DESICCANT_NAMES: dict[str, tuple[str, ...]] = {
    "mgso4": _names(
        "mgso4|magnesium sulfate|sulfate of magnesium|magnesiumsulfat|mag sulfate|epsom salt|mgs04|magsulf|mg sulfate|"
        "mag sulf|magnesium sulf"
    ),
    "na2so4": _names(
        "na2so4|naso4|sodium sulfate|sulfate of sodium|natriumsulfat|na2s04|na sulfate|sodium sulf|na sulf|sod sulfate|sod sulf"
    ),
    "k2co3": _names("k2co3|potassium carbonate|potash"),
    "cacl2": _names("cacl2|calcium chloride"),
    "caso4": _names("caso4|calcium sulfate|drierite"),
    "sieves_3a": _names(
        "molecular sieves|molecular sieve|sieves|3a molecular sieves|3 a molecular sieves|mol sieves|mol. sieves"
    ),
    "sieves_4a": _names(
        "4a molecular sieves|4 a molecular sieves|4 angstrom molecular sieves|ms 4a|4a ms|type 4a molecular sieves"
    ),
    "koh": _names("koh pellets|solid koh|potassium hydroxide|koh|potassium hydroxide pellets"),
    "naoh_pellets": _names("naoh pellets|solid naoh|sodium hydroxide pellets"),
    "phase_separator": _names(
        "phase separator|hydrophobic frit|cotton plug|phase separation paper|phase separating paper|"
        "phase separation cartridge|phase separation filter"
    ),
    # A base rather than a desiccant, but people do write it.
    "": _names("na2co3|sodium carbonate"),
}
