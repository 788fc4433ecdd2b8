"""French and Spanish words of the trade, for those who write a workup in the language that they think in.

Lower case and without hyphens, as in ``trade``; what is spelt as in English (phase, solution, NaHCO3) is not said again.
"""

from __future__ import annotations

from .trade import names

VERBS: dict[str, tuple[str, ...]] = {
    "wash": names(
        "laver|lavé|lavée|lavés|lavées|lave|lavage|lavages|lavar|lavó|lavado|lavada|lavados|lavadas|se lavó|lavaron"
    ),
    "extract": names(
        "extraire|extrait|extraite|extraits|extraites|extraer|extrajo|extraído|extraída|extraje|se extrajo|se extrae"
    ),
    "dry": names("sécher|séché|séchée|séchés|séchées|sèche|secar|secó|secado|secada|secaron|se secó|se secaron"),
    "filter": names("filtrer|filtré|filtrée|filtre|filtrar|filtró|filtrado|filtrada|se filtró"),
    "concentrate": names(
        "évaporer|évaporé|évaporée|évapore|concentrer|concentré|concentrée|évaporation|evaporar|evaporó|evaporado|concentró|"
        "se evaporó|se concentró|concentrar"
    ),
    "dilute": names("diluer|dilué|diluée|dilue|diluir|diluyó|diluido|se diluyó"),
    "pour": names("verser|versé|versée|verse|verter|vertió|se vertió"),
    "combine": names("réunies|réunis|combinées|rassemblées|combinadas|combinaron|reunidas|se combinaron"),
    "separate": names("séparer|séparées|sépare|décanter|décantation|separaron|se separaron|separar"),
    "acidify": names("acidifier|acidifié|acidifiée|acidifie|acidificar|acidificó|se acidificó"),
    "add": names("ajouter|ajouté|ajoutée|ajoute|añadir|añadió|añadieron|se añadió|agregar|agregó|se agregó"),
}
WORDS: dict[str, tuple[str, ...]] = {
    "organic": names("organique|organiques|éthérée|orgánica|orgánicas|etérea"),
    "aqueous": names("aqueuse|aqueuses|aqueux|acuosa|acuosas|acuoso"),
    "layer": names("fase|fases|capa|capas|couche|couches"),
    "sat": names("saturé|saturée|saturado|saturada"),
    "x": names("fois|veces|vez"),
    "with": names("avec|sur|con|sobre|à l'aide de|à"),
    "of": names("de la|d'une solution de|une solution de|de"),
    "aux": names("est|sont|a été|ont été|fue|fueron|es|son"),
    "conj": names("puis|ensuite|enfin|et|luego|después|finalmente|suivi de|suivie de|seguido de"),
    "anhydrous": names("anhydre|anhidro"),
    "stop": names("afin de|para dar"),
}
NUMBERS: dict[str, float] = {"deux": 2, "trois": 3, "quatre": 4, "dos": 2, "tres": 3}
TIMES: dict[str, tuple[int, str]] = {
    "deux fois": (2, ""),
    "trois fois": (3, ""),
    "dos veces": (2, ""),
    "tres veces": (3, ""),
}
# Names of the keys of ``bottles``.
SOLUTES: dict[str, tuple[str, ...]] = {
    "water": names("eau|l'eau|de l'eau|agua"),
    "ice_water": names("glace|la glace|de la glace|hielo|eau glacée|agua helada"),
    "brine": names("saumure|la saumure|salmuera|chlorure de sodium|cloruro de sodio|cloruro sódico"),
    "hcl": names("acide chlorhydrique|ácido clorhídrico"),
    "naoh": names("soude|la soude|hydroxyde de sodium|hidróxido de sodio|hidróxido sódico|sosa"),
    "nahco3": names(
        "bicarbonate de sodium|hydrogénocarbonate de sodium|bicarbonato de sodio|bicarbonato sódico|bicarbonato"
    ),
    "nh4cl": names("chlorure d'ammonium|cloruro de amonio|cloruro amónico"),
    "citric": names("acide citrique|ácido cítrico"),
}
SOLVENTS: dict[str, tuple[str, ...]] = {
    "diethyl_ether": names("éther|l'éther|d'éther|éther diéthylique|éter|éter etílico|éter dietílico"),
    "ethyl_acetate": names("acétate d'éthyle|l'acétate d'éthyle|acetato de etilo|acetato de etílo"),
    "dichloromethane": names("dichlorométhane|diclorometano|cloruro de metileno|chlorure de méthylène"),
    "toluene": names("toluène|tolueno"),
}
DESICCANTS: dict[str, tuple[str, ...]] = {
    "mgso4": names("sulfate de magnésium|sulfato de magnesio"),
    "na2so4": names("sulfate de sodium|sulfato de sodio|sulfato sódico"),
}
