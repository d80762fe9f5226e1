"""Which songs, in which part, to which phrase end, how fast."""
