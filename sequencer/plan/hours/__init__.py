"""How long the work really takes: spreads, mishaps, and what a person's own records tell."""
