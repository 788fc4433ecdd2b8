"""What is known: tables with sources, structure perception, acidity and partition. No decisions.

from washlore.knowledge import sites, log_k, distribution

sites("OC(=O)c1ccccc1")                            # acidic and basic sites with pKa, sigma, class, source
log_k("OC(=O)c1ccccc1", "diethyl_ether")           # neutral form, log10([organic]/[water]) with sigma
distribution("OC(=O)c1ccccc1", "diethyl_ether", 8.3)   # log D at a pH with sigma
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from washlore.knowledge.acidity import sites
    from washlore.knowledge.log_d import distribution
    from washlore.knowledge.partition import log_k

__all__ = ["distribution", "log_k", "sites"]
_HOME = {"sites": "acidity", "log_k": "partition", "distribution": "log_d"}


def __getattr__(name: str) -> Any:
    """Import the public functions when first asked for: the package itself loads nothing."""
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    import importlib

    return getattr(importlib.import_module(f"{__name__}.{_HOME[name]}"), name)
