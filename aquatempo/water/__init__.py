"""Physics of a body in water, with sources. Knows no moves.

All functions take and return numpy arrays over people; see each module.
"""
