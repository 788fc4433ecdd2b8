"""What follows from what is known: facts, the engine, the rules by family, the ledger and the plan.

from washlore.rules import build, contacts_needed, make_plan, read_mixture, run_ledger, Step

mixture = build("CCOC(=O)c1ccccc1", [("benzoic acid", "1 mmol", None)], product_amount="10 mmol",
                solvents=[("dichloromethane", 40)])       # or read_mixture(Path("mixture.toml"))
plan = make_plan(mixture)                                 # steps, what is left, cautions, and the reasons behind
plan.left["c1"]                                           # 5 %, median, 95 % of what stays with the product
book = run_ledger(mixture, [Step("wash", solution="nahco3_sat", volume_ml=15, repeats=2)])
book.left("c1")                                           # the same for steps of one's own, an array over draws
contacts_needed(mixture, [Step("wash", solution="water", volume_ml=15)], "c1")   # portions to reach the target, or None
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from washlore.rules.ledger import Step, contacts_needed, run_ledger
    from washlore.rules.mixture import build
    from washlore.rules.mixture_file import read_mixture
    from washlore.rules.plan import make_plan

__all__ = ["Step", "build", "contacts_needed", "make_plan", "read_mixture", "run_ledger"]
_HOME = {
    "build": "mixture",
    "read_mixture": "mixture_file",
    "make_plan": "plan",
    "run_ledger": "ledger",
    "contacts_needed": "ledger",
    "Step": "ledger",
}


def __getattr__(name: str) -> Any:
    """Import the public names when first asked for: the package itself loads nothing."""
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    import importlib

    return getattr(importlib.import_module(f"{__name__}.{_HOME[name]}"), name)
