"""The catalogue: types by discovery, and one study for each distinct joint."""

import ast
from pathlib import Path

import pytest

from orders.core import joints
from orders.core.book import joint_type, joint_types, study
from orders.core.errors import RuleBroken
from tests.orders.core.sections import section

FIRST_EIGHT = {
    "butt",
    "housing",
    "corner-halving",
    "mortise-tenon",
    "haunched-mortise-tenon",
    "dowel",
    "through-dovetail",
    "mitre",
}


def test_the_book_holds_the_first_eight_types():
    assert joint_types().keys() >= FIRST_EIGHT


def test_every_code_and_label_is_used_once():
    kinds = joint_types().values()
    assert len({kind.code for kind in kinds}) == len({kind.label for kind in kinds}) == len(kinds)


def test_every_module_in_the_folder_is_in_the_book():
    modules = [path for path in Path(joints.__path__[0]).glob("*.py") if path.stem != "__init__"]
    assert len(modules) == len(joint_types())


def test_joint_modules_never_import_each_other():
    for path in Path(joints.__path__[0]).glob("*.py"):
        imported = [
            node.module
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.ImportFrom)
        ]
        assert not any(str(name).startswith("orders.core.joints") for name in imported), path


def test_unknown_type_is_refused_with_near_names():
    with pytest.raises(RuleBroken, match="mortise-tenon") as refused:
        joint_type("mortise-and-tenon")
    assert refused.value.field == "type"


def test_like_joints_are_studied_once():
    a, b = section(48, 24), section(60, 24)
    kind = joint_type("mortise-tenon")
    assert study(kind.fitted(a, b)) is study(kind.fitted(a, b))
