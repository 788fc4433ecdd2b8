"""The words that people use in a written workup: what they call solutions, solvents, layers and operations.

Everything here is lower case, with ``sulf`` for ``sulph`` and without hyphens, as ``characters`` compares it.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Solute:
    """What is dissolved: how it is called, the row that is meant without a strength, and all of its rows.

    ``equivalents`` turns normality into molarity. ``stands_for`` says what the tables lack where another row is used.
    """

    names: tuple[str, ...]
    usual: str
    rows: tuple[str, ...]
    equivalents: int = 1
    stands_for: str = ""


def words(text: str) -> frozenset[str]:
    """Return the words of ``text``, between spaces."""
    return frozenset(text.split())


def _names(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split("|"))


SOLUTES: dict[str, Solute] = {
    "water": Solute(
        _names(
            "water|h2o|h20|distilled water|deionised water|deionized water|di water|dh2o|di h2o|"
            "demineralised water|demineralized water|tap water|wasser|destilliertes wasser|milliq water|aqua dest"
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
            "brine|saline|sodium chloride|nacl|salt solution|salt water|saltwater|common salt|salt brine|"
            "brine solution|salty water|salty solution|saline solution|kochsalzlösung|kochsalzloesung|table salt|"
            "sodium chloride brine|water saturated with sodium chloride|water saturated with nacl|"
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
            "natriumhydrogencarbonat|sodium bicarb|natriumbicarbonat|baking soda|nabicarb|na bicarb|"
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
            "hcl|hydrochloric acid|hydrochloric|hydrogen chloride|muriatic acid|salzsäure|salzsaeure|hci|"
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
            "sodium potassium tartrate|seignette salt|rochelle's salts|rochelle's"
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
        "ether|diethyl oxide|ethyl oxide|ethyl ether|sulfuric ether|diethylether|ethylether|et20|ethers"
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
# Read only as capitals: written small they are other words.
CAPITALS_ONLY = frozenset({"EA", "PE", "EG", "TEA", "TBA", "PY", "DTC", "NAC"})
# Spellings of the solvent table that mean something else in a workup.
NOT_SOLVENTS = frozenset(
    {"hex", "py", "pyr", "edc", "dmc", "hac", "glycol", "petrol 40 60", "acoh", "hoac", "ch3cooh", "ch3co2h"}
)

DESICCANT_NAMES: dict[str, tuple[str, ...]] = {
    "mgso4": _names("mgso4|magnesium sulfate|magnesiumsulfat|mag sulfate|epsom salt|mgs04|magsulf|mg sulfate|mag sulf"),
    "na2so4": _names("na2so4|naso4|sodium sulfate|natriumsulfat|na2s04|na sulfate"),
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

# Verbs: every form that is read, by what it makes of the phrase around it.
VERBS: dict[str, tuple[str, ...]] = {
    "wash": _names(
        "waschen|gewaschen|wasche|nachgewaschen|ausgewaschen|nachwaschen|wash|washed|washing|washes|rewashed|"
        "rewash|washd|shake|shaken|shaking|shook|wased|was washed"
    ),
    "extract": _names(
        "extrahieren|extrahiert|extrahiere|ausschütteln|ausgeschüttelt|ausgeethert|ausethern|ausgezogen|extract|"
        "extracted|extracting|extracts|extraction|extractions|reextracted|rextracted|re extracted|re extract|"
        "xtract|ext|extd|extr"
    ),
    "back-extract": _names(
        "back extract|back extracted|backextract|backextracted|back extracting|back extraction|back wash|"
        "backwash|backwashed|back washed"
    ),
    "dry": _names(
        "trocknen|getrocknet|trockne|dry|dried|drying|dries|predried|dried off|placed over|stored over|"
        "stood over|allowed to stand over|standing over|kept over|left over|stand over|left to stand over|"
        "placed on|let stand over"
    ),
    "filter": _names(
        "filtrieren|filtriert|abfiltriert|abfiltrieren|filtriere|abgesaugt|absaugen|filter|filtered|filtering|"
        "filtration|filters|filtrate off|suction filtered|gravity filter|gravity filtered|vacuum filter|"
        "suction filter|filt|filtd|refiltered|collected by filtration|filtered off|filter off|"
        "removed by filtration|separated by filtration|isolated by filtration|filtered with suction|"
        "filtering off|filtration off|sucked off|suctioned off"
    ),
    "decant": _names("decant|decanted|decanting|decantation|decantations|decanted off|decant off"),
    "rinse": _names("rinse|rinsed|rinsing|rinses"),
    "concentrate": _names(
        "einengen|eingeengt|abrotieren|abrotiert|einrotieren|einrotiert|abdestilliert|abdestillieren|abgedampft|"
        "eingedampft|eindampfen|evaporiert|concentrate|concd|concentrating|concentration|evaporate|evaporated|"
        "evaporating|evaporation|evap|evapd|rotovap|rotavap|rotovapped|rotavapped|rotovaped|rotary evaporate|"
        "rotary evaporated|rotary evaporation|rotovapping|roto vap|rota vap|strip|stripped|stripping|"
        "taken to dryness|take to dryness|brought to dryness|reduced to dryness|concentrated to dryness|"
        "solvent removed|remove solvent|remove the solvent|distilled to remove the solvent|"
        "distilled to remove solvent|removal of the solvent|removal of solvent|removal of solvents|"
        "removal of the solvents|evaporates|solvent was removed|solvent is removed|solvents were removed|"
        "solvents are removed|solvent was distilled|solvent is distilled|solvent distilled|concentrate in vacuo|"
        "stripped off|rotavaped|strip off|boil off|boiled off|stripped of solvent|freed from solvent|"
        "freed of solvent|distilled off|distilling off|distil off|distill off|distilled to dryness|blow down|"
        "blown down|solvent being removed|evaporated off|evaporated down|roto evaporate|rotoevaporated|"
        "evaporating off|driven off|vacuum stripped"
    ),
    "pour": _names("gegossen|gießen|giessen|pour|poured|pouring|pours|dumped|dump|drowned"),
    "quench": _names(
        "gequencht|hydrolysiert|quenchen|quench|quenched|quenching|quenches|decomposed|decompose|hydrolyzed|"
        "hydrolysed|hydrolyze|destroyed|destroy|killed|kill|quenchd|work up|worked up|workup"
    ),
    "dilute": _names("verdünnen|verdünnt|verduennt|diluted|dilute|diluting|dilutes|dilution|thinned"),
    "dissolve": _names(
        "gelöst|lösen|aufgenommen|aufnehmen|dissolved|dissolve|redissolved|redissolve|taken up|taken into|"
        "take up|took up|take it up|resuspended|suspended|suspend|dissolving|taking up|redissolving|taken in|"
        "reconstituted|slurried|slurry|dissolves|take into"
    ),
    "acidify": _names(
        "ansäuern|angesäuert|angesaeuert|ansaeuern|acidify|acidified|acidifying|acidification|made acidic|"
        "made acid|make acidic|make acid|rendered acidic|acidulated|reacidified|rendered acid|acidulate"
    ),
    "basify": _names(
        "alkalisch gemacht|alkalisiert|basisch gemacht|basify|basified|basifying|basification|made basic|"
        "make basic|made alkaline|make alkaline|alkalinized|alkalized|rendered basic|rendered alkaline|"
        "made strongly basic|made strongly alkaline|rebasified|alkalinised|alkalised|basicified|"
        "made slightly alkaline|made slightly basic|alkalify|basicify|alkalified"
    ),
    "neutralize": _names(
        "neutralize|neutralise|neutralized|neutralised|neutralizing|neutralising|neutralization|neutralisation|"
        "made neutral"
    ),
    "adjust": _names(
        "adjust|adjusted|adjusting|adjustment|brought to ph|bring to ph|bring ph to|bring the ph to|take to ph|"
        "taken to ph|bring to a ph|brought to a ph|raised|lowered|established|set ph|set the ph|ph brought|"
        "made to ph"
    ),
    "partition": _names("partition|partitioned|partitioning|distributed between|distribute between|distributed"),
    "combine": _names(
        "vereinigt|vereinigen|combine|pool|pooled|are combined|is combined|was combined|were combined|"
        "being combined|combine all|pooling|combining|then combined|and combined"
    ),
    "discard": _names(
        "verworfen|verwerfen|discard|discarded|discarding|thrown away|throw away|throw out|thrown out|toss|"
        "tossed|bin|binned|reject|rejected|down the drain|dispose|disposed|discards|chuck|chucked|discared|throw|"
        "get rid of|waste"
    ),
    "keep": _names(
        "keep|kept|save|saved|retain|retained|keeping|reserved|collect|collected|collecting|saving|retaining|"
        "isolated|isolate|recovered|recover"
    ),
    "drain": _names(
        "drain|drained|run off|ran off|draw off|drawn off|draining|removed|remove|removing|syphoned|siphoned|"
        "separated off|set aside|removal|drained off|drain off|split off|cut off|withdrawn|took off|take off|"
        "taken off"
    ),
    "separate": _names(
        "getrennt|trennen|abgetrennt|separate|separated|separating|separation|separates|split|splitted|settle|"
        "settled|phase separation|separated out|separate out|phase separated|divided"
    ),
    "cool": _names("cool|cooled|cooling|chill|chilled|cools|chilling"),
    "wait": _names(
        "stand|wait|stood|let stand|let sit|let it stand|left to stand|allowed to stand|allow to stand|"
        "let settle|leave|left|allow to settle|sit"
    ),
    "vent": _names(
        "vent|vented|venting|release pressure|release the pressure|vents|burp|burped|burping|relieve pressure"
    ),
    "take": _names(
        "take the solution up|take the residue up|took the residue up|take residue up|take the crude up|"
        "take the product up|take the mixture up|took the mixture up"
    ),
    "check": _names(
        "check ph|check the ph|checked ph|test ph|tested ph|test the ph|ph was checked|ph checked|"
        "check with litmus|check with ph paper|test with litmus|tested with litmus|test with ph paper|ph paper|"
        "litmus paper|litmus|checking ph|checking the ph|measure ph|measure the ph|ph check|verify ph|confirm ph|"
        "test paper|indicator paper"
    ),
    "add": _names(
        "versetzt|zugegeben|zugeben|versetzen|add|added|adding|addition|adds|adding in|charged|charge|introduced|"
        "treat|treated|treating|treatment"
    ),
    "stir": _names("stir|stirred|stirring|swirl|swirled|swirling|mix|mixed|agitated|agitate|agitation|stirs|mixing"),
    "pass": _names("passed|pass|percolated|run through|passing"),
    # Known for what they are, but no step of a workup: set aside, or listed where they stand within one.
    "purify": _names(
        "chromatographed|chromatography|chromatograph|chromatographic|column|columned|flash|recrystallized|"
        "recrystallised|recrystallize|recrystallise|crystallized|crystallised|recrystallization|"
        "recrystallisation|crystallization|crystallisation|crystallize|crystallise|distilled|distil|distill|"
        "distillation|purified|purify|purification|eluted|eluting|elute|elution|nmr|hplc|tlc|triturated|"
        "triturate|trituration|sublimed|sublimation|recryst|preparative|gradient|recrystalize|kugelrohr|"
        "fractionated|redistilled|lyophilized|lyophilised|crystallizes|lyophilise|lyophilize|freeze dried|"
        "freeze dry|steam distilled|columning|crystallizing|crystallising|prep tlc"
    ),
    "react": _names(
        "reflux|refluxed|heated|heat|heating|refluxing|hydrogenated|warmed|reacted|react|boiled|irradiated|"
        "maintained|allowed to warm|allowed to react|warm|boil|warming|cyclized|reduced|oxidized|brominated|"
        "hydrogenation"
    ),
    "odd": _names(
        "centrifuged|centrifuge|centrifugation|sonicated|sonicate|dialysed|dialyzed|azeotroped|azeotrope|"
        "salted out|salt out|saturated with|decolorized|decolourised|decolorised|decolourized|decolorize|"
        "degassed|bubbled|do it again|do this again|do that again|repeat this|repeat it|precipitate out|"
        "precipitate with|ion exchange|steam distil|charcoaled|bubble|sparged|sparge|electrolysed|digested|"
        "macerated|adsorbed|saponified|absorbed|flush|flushed|backflushed|filter aid"
    ),
}

# German verbs, which stand at the end of their clause.
VERBS_LAST = words(
    "waschen gewaschen wasche nachgewaschen ausgewaschen nachwaschen extrahieren extrahiert extrahiere ausschütteln "
    "ausgeschüttelt ausgeethert ausethern ausgezogen trocknen getrocknet trockne filtrieren filtriert abfiltriert "
    "abfiltrieren filtriere abgesaugt absaugen einengen eingeengt abrotieren abrotiert einrotieren einrotiert "
    "abdestilliert abdestillieren abgedampft eingedampft eindampfen evaporiert ansäuern angesäuert angesaeuert "
    "ansaeuern alkalisiert verdünnen verdünnt verduennt gelöst lösen aufgenommen aufnehmen gegossen gießen giessen "
    "gequencht hydrolysiert quenchen versetzt zugegeben zugeben versetzen vereinigt vereinigen getrennt trennen "
    "abgetrennt verworfen verwerfen"
)

NUMBERS: dict[str, float] = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "ten": 10, "a single": 1,
    "zwei": 2, "drei": 3, "single": 1, "both": 2,
}  # fmt: skip
# How often, as one word or phrase; the note says what was filled in where the words name no number.
TIMES: dict[str, tuple[int, str]] = {
    "once": (1, ""), "twice": (2, ""), "thrice": (3, ""), "double": (2, ""), "again": (1, ""), "zweimal": (2, ""),
    "dreimal": (3, ""), "a second time": (1, ""), "one time": (1, ""), "one more time": (1, ""), "bis": (2, ""),
    "several times": (3, "several times: 3 counted"), "many times": (3, "many times: 3 counted"),
    "a few times": (3, "a few times: 3 counted"), "repeatedly": (3, "repeatedly: 3 counted"),
    "thoroughly": (3, "thoroughly: 3 times counted"), "exhaustively": (3, "exhaustively: 3 times counted"),
    "a couple of times": (2, "a couple of times: 2 counted"), "a couple times": (2, "a couple of times: 2 counted"),
    "until neutral": (3, "until neutral: 3 times counted"), "to neutrality": (3, "until neutral: 3 times counted"),
    "till neutral": (3, "until neutral: 3 times counted"), "until neutrality": (3, "until neutral: 3 times counted"),
    "several portions": (3, "several portions: 3 counted"), "some portions": (3, "several portions: 3 counted"),
    "neutral with": (3, "until neutral: 3 times counted"), "multiple times": (3, "multiple times: 3 counted"),
    "several": (3, "several: 3 counted"), "neutral": (3, "until neutral: 3 times counted"),
    "free of acid": (3, "until neutral: 3 times counted"), "acid free": (3, "until neutral: 3 times counted"),
    "until the washings are neutral": (3, "until neutral: 3 times counted"),
    "until the washings were neutral": (3, "until neutral: 3 times counted"),
    "a couple of": (2, "a couple: 2 counted"), "a few": (3, "a few: 3 counted"),
}  # fmt: skip
RELATIVE: dict[str, float] = {
    "equal volume": 1.0, "an equal volume": 1.0, "same volume": 1.0, "the same volume": 1.0, "equal volumes": 1.0,
    "equal amount": 1.0, "equal amounts": 1.0, "1 volume": 1.0, "one volume": 1.0, "half volume": 0.5,
    "half the volume": 0.5, "half a volume": 0.5, "half volumes": 0.5, "half an equal volume": 0.5,
    "twice the volume": 2.0, "two volumes": 2.0, "double the volume": 2.0, "a third of the volume": 1 / 3,
    "one third of the volume": 1 / 3, "one third volume": 1 / 3, "quarter volume": 0.25, "a quarter of the volume": 0.25,
    "same amount": 1.0, "gleiches volumen": 1.0, "1 vol": 1.0, "equal vol": 1.0, "one vol": 1.0, "half its volume": 0.5,
    "its own volume": 1.0, "its volume": 1.0, "half the vol": 0.5, "half vol": 0.5, "1/2 volume": 0.5, "1/2 vol": 0.5,
    "same vol": 1.0, "one half volume": 0.5, "equivalent volume": 1.0, "one quarter volume": 0.25,
    "one tenth the volume": 0.1, "one tenth of the volume": 0.1, "a tenth of the volume": 0.1,
}  # fmt: skip
VAGUE: tuple[str, ...] = _names(
    "a little|a bit of|a bit|some|a small amount of|a small amount|a splash of|a splash|plenty of|lots of|"
    "a few ml|a small portion of|small portions|a little bit of|an excess of|excess|small amount|a drop of|"
    "a few drops of|a few drops|enough|a small volume of|small volumes of|a minimum of|minimal|"
    "a minimal amount of|sufficient"
)
UNITS_ML: dict[str, float] = {
    "ml": 1, "mls": 1, "millilitre": 1, "millilitres": 1, "milliliter": 1, "milliliters": 1, "cc": 1, "ccs": 1, "cm3": 1,
    "l": 1000, "litre": 1000, "litres": 1000, "liter": 1000, "liters": 1000, "lt": 1000, "dm3": 1000, "ltr": 1000,
    "µl": 0.001, "μl": 0.001, "ul": 0.001, "cl": 10, "dl": 100, "gallon": 3785, "gallons": 3785, "milliltr": 1, "mi": 1,
}  # fmt: skip
# After a number these mean neither a volume nor a strength.
OTHER_UNITS = words(
    "g kg mg gm gms gram grams kilogram kilograms mmol mol moles mole mmole mmoles equiv eq equivalents equivalent h hr "
    "hrs hour hours min mins minute minutes s sec second seconds day days c k f deg degrees mm mbar bar torr psi hz mhz "
    "cm m3 parts part lb lbs oz rpm week weeks nm atm mmhg meq °"
)
LONG_TIMES = frozenset(
    {"h", "hr", "hrs", "hour", "hours", "day", "days", "overnight", "week", "weeks", "weekend", "night"}
)

WORDS: dict[str, tuple[str, ...]] = {
    "organic": _names("organischen|organischer|organ|organic|ethereal|org|etheral|organische|ethereous|oily"),
    "organics": _names("organics|orgs"),
    "aqueous": _names("wässrigen|wässrig|aqueous|aq|aqeous|aquous|watery|wässrige|wässriger|aqua|wäßrige|wässr"),
    "layer": _names(
        "schicht|schichten|layer|phase|layers|phases|washings|fraction|fractions|phasen|liquor|liquors|filtrate|"
        "filtrates|lyr|lyrs"
    ),
    "extracts": _names("extracts|extractions|extract|extractives"),
    "soln": _names("solution|soln|solutions|lösung|sol'n|sol|solns|solute"),
    "top": _names("top|upper"),
    "bottom": _names("bottom|lower"),
    "acidic": _names("acidic|acid aqueous"),
    "basic": _names("basic|alkaline"),
    "sat": _names(
        "gesättigtem|gesättigt|gesaettigt|gesättigtes|sat|satd|saturated|sat'd|saturate|gesättigte|gesättigter|"
        "gesätt|gesättigten|saturd|satured|stad|ges|fully saturated|ges.|gesaettigte"
    ),
    "half": _names(
        "half saturated|half sat|half satd|half sat'd|semisaturated|semi saturated|half strength|1/2 saturated"
    ),
    "dil": _names("verdünnter|verdünnten|dil|dilute|diluted|weak|verd|verdünnte|verdünnter|very dilute|weakly"),
    "conc": _names("conc|concentrated|strong|konz|konzentrierte|conc'd|fuming"),
    "cold": _names(
        "cold|ice cold|warm|hot|fresh|icecold|chilled|freshly prepared|lukewarm|distilled|deionised|deionized"
    ),
    "solid_state": _names("solid|powdered|pellets|granular"),
    "anhydrous": _names("anhydrous|anhyd|dry|anh|anhydr|wasserfreies|calcined|exsiccated"),
    "pct": _names("%|percent|per cent|pct|% w/v|% w/w|wt %|% strength|wt.%|%ige|%iger|wt%|% by weight"),
    "molar": _names("m|molar|mol/l|mol l|mol/dm3|mol|molal"),
    "normal": _names("n|normal"),
    "x": _names("x|*|times|time|fold|mal"),
    "portions": _names("portions|portion|aliquots|aliquot|parts|batches|lots|washes each|quantities"),
    "volumes": _names("volumes|vols|vol|volume|v"),
    "each": _names(
        "each|each time|apiece|respectively each|of each|per wash|per time|each wash|per extraction|each portion"
    ),
    "ph": _names("ph"),
    "aux": _names(
        "werden|worden|ist|sind|was|were|is|are|be|been|being|has|have|had|wurde|wird|wurden|gets|can|could|"
        "should|would|will|may"
    ),
    "with": _names("auf|with|w/|w|using|mit|into|onto|in|over|between|by|via|through|on|upon|to|against|from|per|über"),
    "of": _names("of|in the form of|a solution of|a mixture of|mixture of"),
    "conj": _names(
        "danach|anschliessend|zuletzt|abschließend|and|then|&|+|followed by|plus|next|finally|und|dann|"
        "subsequently|again with|lastly|after that|thereafter|then again|and then|and finally|as well as|also|"
        "first|firstly|secondly|second|last|afterwards|anschließend|in turn|successively|sequentially|"
        "consecutively|in succession|in sequence|in that order|in order|respectively"
    ),
    "solid": _names(
        "solid|solids|precipitate|precipitates|crystals|filter cake|cake|filtercake|crystalline|ppt|crystal|"
        "desiccant|drying agent|residual solid|filter pad|celite pad|celite|inorganics|salts|magnesium salts|"
        "catalyst|pad|filter|sinter|powder|beads|resin|drying agents|sodium salts|insolubles"
    ),
    "residue": _names("residue|oil|gum|crude|crude product|product|concentrate|residual oil|foam|material|residues"),
    "filtrate": _names(
        "mother liquor|mother liquors|filtrate|filtrates|reaction mixture|reaction solution|reaction medium|"
        "reaction mass|emulsion|reaction liquid|reaction product mixture|the mixture|the solution|"
        "resulting solution|resulting mixture|this solution|combined solution|combined solutions|this mixture|"
        "obtained solution|two phase mixture|biphasic mixture|the whole"
    ),
    "stop": _names(
        "to take out|to get rid of|to pull out|to destroy|to take away|to extract|to give|to afford|to yield|"
        "to obtain|to provide|giving|affording|yielding|to remove|which|before|prior|until|while|because|so that|"
        "to leave|leaving|gave|afforded|yielded|in order|furnished|to produce|whereupon|providing|there|thus|"
        "producing|resulting|obtaining|where|yields|gives|affords|leaves|to get|after|when|to furnish|from which|"
        "to neutralize|to neutralise|as|for"
    ),
    "vacuo": _names(
        "in vacuo|in vacuum|under vacuum|under reduced pressure|in air|air|vacuum oven|oven|in a vacuum|"
        "under high vacuum|desiccator|on the filter|at room temperature|at reduced pressure|in the air|"
        "by suction|in vaccuo|vacuum|high vacuum|pump|overnight"
    ),
    "ignore": _names(
        "sodium sulfate decahydrate|na2so4 decahydrate|glauber's salt|glauber salt|na2so4 10h2o|"
        "hydrated sodium sulfate|separatory funnel|sep funnel|separating funnel|separation funnel|drying tube|"
        "drying oven|ice bath|water bath|ice water bath|steam bath|oil bath|ice/water bath|ice salt bath|"
        "wash bottle|rotary evaporator|water aspirator|water pump|dry ice|dried glassware|flame dried|oven dried|"
        "room temperature|water cooled|water jet|cold bath|ice/salt bath|ice cooling|ice cooled|water jacket|"
        "water bath temperature|ice methanol bath|dry ice bath|calcium chloride tube|sodium sulfate plug|"
        "half hour|half an hour|salt free|water free|water soluble|ice salt|salt bath|water separator|water trap|"
        "ice brine bath|ice bath temperature|ice box|icebox|organic acid|organic base"
    ),
    "contra": _names(
        "water immiscible|water insoluble|no longer|not|without|never|free from|instead of|do not|don't|no|dont"
    ),
}

# Words of everyday English, and of the reaction, that a slip of the pen must not turn into words of the trade.
NEVER_CORRECTED = words(
    "benzoyl benzo place borane rises rising rise raise acetal phosphonic section divide hydrosulfide solvated white while "
    "remaining provided provides remained phenol amide azide octane these later large reach mixes "
    "wished wasted waste washer basis basic water waters layered player dryer drier driers dyed bride bromine brown "
    "ethers either ethyl ester esters estate acid acids acidic salts solid solvent solvents filler fitted phases phrase "
    "pouring pound pored cooking cooler wish watch combine combined combines dilutes delete sodium sulfate sulfite "
    "extracts exact exactly extra extent portion potion position sulfide sulfone sulfonate sulfated bisulfide bisulfate "
    "chloride chlorine chlorite fluoride chlorate carbonate carbonates carbamate carbonyl nitrate nitrite acetate acetic "
    "citrate nitric citric silica toluate benzoin benzyl hexene heptene pentene butanol pentanol heptanol propanol "
    "methanol ethanol ethane methane propane butane pentane cooled colder warned warms stirs starred stored store "
    "separately separate tested treats treat trained rinds raised vested event bottle better dumped duped pooled polled "
    "filtrate checked shaking shaken organ organic organism coming comes drops dropped added adds ended aided "
    "solution solutions resolution saturation hydrogen hydroxy hydrate hydride ammonium ammonia magnesium calcium "
    "potassium lithium cesium saturated unsaturated concentrations settles isolates evaporates chromatograph phosphate "
    "phosphite phosphine phosphonate tartrate thiosulfate dichloro dichloride trichloride chloroform chloroformate "
    "chlorofom residual residue products produced produce reacts reactor reaction reactant heats heater "
    "brings bring broth brings crushed crashed stands standard sands lefts leave leaves saved saves solved "
    "diluent boiling boiler fresh flesh column columns voluminous volume diethyl dimethyl methyl partial particle "
    "partially petrol acidify basify alkaline alkali alkaloid"
)
