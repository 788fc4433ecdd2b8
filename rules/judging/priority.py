"""Which of two rules concludes first, and so is heard where both find one thing, or the same component at the same step.

The gravest comes before what is less grave, and the most particular cause of a remainder before a more general one.
"""

(
    ASIDE,  # a remark on what a weightier rule may have said
    _,  # a rule that names no priority
    OWN_CHARGE,  # an acid on a basic product, before the salt that it was already
    OUT_OF_ORDER,
    # why something stays
    PORTIONS,
    WRONG_SIDE,
    SALT_WATER,
    TOO_WEAK,
    USED_UP,
    # what the product is lost by
    LAYER,
    # what hurts
    STRONG,
    HASTE,
    MEETING,
    TOGETHER,
    POISON,
) = range(-1, 14)
