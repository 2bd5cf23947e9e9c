"""Plans as data, and what is asked of one: what is in the way, looks, sittings, gates."""
