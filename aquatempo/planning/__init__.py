"""From songs and a brief to a class, and from any class to what is wrong with it."""
