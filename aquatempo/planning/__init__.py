"""From songs and a brief to a class."""
