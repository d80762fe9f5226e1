"""People and limbs that several tests of the water model share."""

from __future__ import annotations

import numpy as np

from aquatempo.records.moves import Foot, Hands, Segment
from aquatempo.records.people import Person, Sex
from aquatempo.water.body import Bodies, bodies_of
from aquatempo.water.limbs import Limb, SwingAxis, build_limb
from aquatempo.water.properties import water

WATER = water(29.0)
PEOPLE: Bodies = bodies_of([Person(1.63, 68.0, Sex.WOMAN, 50.0), Person(1.80, 85.0, Sex.MAN, 50.0)])
DEEP_ENOUGH_M = np.full(2, 1.0)  # of a joint under the surface: the whole limb is wet


def leg(bend_deg: float = 0.0, foot: Foot = Foot.EDGE, axis: str = SwingAxis.SAGITTAL) -> Limb:
    """Return the legs of PEOPLE."""
    return build_limb(PEOPLE, Segment.LEG, axis, np.radians(bend_deg), foot)


def arm(hands: Hands = Hands.SLICE, area_m2: float = 0.0, bend_deg: float = 0.0) -> Limb:
    """Return the arms of PEOPLE."""
    return build_limb(
        PEOPLE, Segment.ARM, SwingAxis.SAGITTAL, np.radians(bend_deg), Foot.EDGE, hands,
        equipment_area_m2=area_m2,
    )  # fmt: skip
