"""What follows from what is known: facts, the engine, the rules by family, the ledger and the plan."""
