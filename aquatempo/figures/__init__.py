"""Moves that one can see: joint angles of the model -> the body in a picture.

The places of limbs are those of ``water.limbs``, which the physics reckons with, so that a
figure shows what is judged: an angle that looks wrong is wrong in the catalogue.
"""

from aquatempo.figures.drawing import figure_of, standing_figure, view_of
from aquatempo.figures.skeleton import skeleton

__all__ = ["figure_of", "skeleton", "standing_figure", "view_of"]
