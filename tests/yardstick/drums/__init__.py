"""Own drum loops from one-shots: patterns whose level or half beat is easily misheard."""
