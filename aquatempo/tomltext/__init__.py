"""Hand-written TOML with the line of each value: the one reader of such text."""
