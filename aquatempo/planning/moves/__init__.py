"""Which moves and variations fill the phrases of a song."""
