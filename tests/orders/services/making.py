"""A commission made by the services themselves, for tests of what follows from it."""

from typing import Any

from orders.core.stages import Stage
from orders.models import Assembly, Commission, Joint, Part
from orders.services.assemblies import add_assembly
from orders.services.commissions import move, open_commission
from orders.services.extras import add_extra
from orders.services.joints import add_joint
from orders.services.parts import add_part
from tests.builders import a_client, a_workshop


def an_enquiry(workshop: Any = None, **more: Any) -> Commission:
    """An enquiry of a new client."""
    workshop = workshop or a_workshop()
    return open_commission(
        workshop,
        **{"by": None, "title": "Hall bench", "client": a_client(workshop), **more},
    )


def a_stile(assembly: Assembly, **more: Any) -> Part:
    """A stile of white oak, 900 x 48 x 24 mm."""
    sizes = {"length_mm": 900, "width_mm": 48, "thickness_mm": 24}
    return add_part(assembly, **{"name": "stile", "species": "oak-white", **sizes, **more})


def a_rail(assembly: Assembly, **more: Any) -> Part:
    """A rail of white oak, 500 x 60 x 24 mm."""
    sizes = {"length_mm": 500, "width_mm": 60, "thickness_mm": 24}
    return add_part(assembly, **{"name": "rail", "species": "oak-white", **sizes, **more})


def a_tenon(assembly: Assembly, **more: Any) -> Joint:
    """Four mortise and tenon joints between a new stile and a new rail."""
    stile = more.pop("part_a", None) or a_stile(assembly, quantity=2)
    rail = more.pop("part_b", None) or a_rail(assembly, quantity=2)
    return add_joint(
        assembly,
        **{"type": "mortise-tenon", "part_a": stile, "part_b": rail, "count": 4, **more},
    )


def a_frame(commission: Commission, **more: Any) -> Assembly:
    """A frame of two stiles and two rails with four joints, planed, clamped and sanded."""
    frame = add_assembly(commission, **{"name": "Frame", **more})
    a_tenon(frame)
    for operation in ("plane-up", "assemble", "sand"):
        add_extra(frame, operation=operation)
    return frame


def accepted(commission: Commission) -> Commission:
    """The commission, quoted and accepted."""
    for stage in (Stage.QUOTED, Stage.ACCEPTED):
        commission = move(commission, stage, by=None)
    return commission
