"""A small band in a box: drums, voices, players and a mixing desk, in numpy and scipy."""
