"""One record for each answer, and the terminal text made from it."""
