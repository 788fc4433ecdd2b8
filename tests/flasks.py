"""Flasks that several tests plan, as the options of a command line."""

FOUR_PRODUCTS = (
    *("--product", "benzoic acid", "--amount", "10 mmol", "--solvent", "ether; 60 mL"),
    *("--with", "naphthalene; 10 mmol; product", "--with", "2-naphthol; 10 mmol; product"),
    *("--with", "aniline; 10 mmol; product"),
)
TWO_PRODUCTS = (
    *("--product", "naphthalene", "--amount", "5 mmol", "--solvent", "ether; 40 mL"),
    *("--with", "p-toluidine; 5 mmol; product"),
)
