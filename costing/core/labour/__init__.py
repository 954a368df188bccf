"""What work really took: labour by joint type, standards that learn, and how honest they are."""

from costing.core.labour.change import Change
from costing.core.labour.clockings import BatchClocking, Table, table_of
from costing.core.labour.detect import find_changes, learn_and_notice
from costing.core.labour.honesty import Foretold, Honesty, honesty_of, rolling_origin
from costing.core.labour.keeping import packed, unpacked
from costing.core.labour.lines import (
    LabourLine,
    LabourRecord,
    labour_by_joint_type,
    shrunk_standard,
    weight_of,
)
from costing.core.labour.model import Fitted, Learned, learn
from costing.core.labour.predict import PlannedBatch, hours_of
from costing.core.labour.priors import Priors
from costing.core.labour.standards import (
    HandFactor,
    LearnedStandard,
    Suspect,
    hand_factors,
    standards_of,
    suspects_of,
)

__all__ = [
    "BatchClocking",
    "Change",
    "Fitted",
    "Foretold",
    "HandFactor",
    "Honesty",
    "LabourLine",
    "LabourRecord",
    "Learned",
    "LearnedStandard",
    "PlannedBatch",
    "Priors",
    "Suspect",
    "Table",
    "find_changes",
    "hand_factors",
    "honesty_of",
    "hours_of",
    "labour_by_joint_type",
    "learn",
    "learn_and_notice",
    "packed",
    "rolling_origin",
    "shrunk_standard",
    "standards_of",
    "suspects_of",
    "table_of",
    "unpacked",
    "weight_of",
]
