"""How the walls meet at the corners: one module a joint, all with the methods of `corner.Corner`.

To add a joint, add its module, its name in `kerftone.drum.shop.Joint`, and a line in `CORNERS`.
"""

from kerftone.drum.corners.butt import Butt
from kerftone.drum.corners.corner import Corner, EndCut, Ends
from kerftone.drum.corners.finger import Fingered
from kerftone.drum.corners.mitre import KeyedMitre, Mitre
from kerftone.drum.corners.rabbet import Rabbeted
from kerftone.drum.joinery import EndKind, Wall
from kerftone.drum.shop import Joint

CORNERS: dict[Joint, Corner] = {
    corner.joint: corner for corner in (Mitre(), KeyedMitre(), Butt(), Fingered(), Rabbeted())
}
_BY_KIND: dict[EndKind, Corner] = {
    corner.kind: corner for corner in (Mitre(), Butt(), Fingered(), Rabbeted())
}


def end_of(wall: Wall) -> Corner:
    """The joint whose own ends this wall has."""
    return _BY_KIND[wall.ends]


__all__ = ["CORNERS", "Corner", "EndCut", "Ends", "end_of"]
