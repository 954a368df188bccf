"""Short ways to say a section and a studied joint in the tests of the joint book."""

from orders.core.book import JointStudy, joint_type, study
from orders.core.joint import Section


def section(width: float, thickness: float, length: float = 1000) -> Section:
    return Section(width_mm=width, thickness_mm=thickness, length_mm=length)


def studied(code: str, a: Section, b: Section, **given: float | str) -> JointStudy:
    return study(joint_type(code).fitted(a, b, **given))
