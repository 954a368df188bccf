"""The stages of a commission and the moves between them."""

from collections.abc import Mapping
from enum import StrEnum


class Stage(StrEnum):
    """Where a commission stands."""

    ENQUIRY = "enquiry"
    QUOTED = "quoted"
    ACCEPTED = "accepted"
    IN_WORK = "in-work"
    DELIVERED = "delivered"
    CLOSED = "closed"
    DECLINED = "declined"


LABELS: Mapping[Stage, str] = {
    Stage.ENQUIRY: "Enquiry",
    Stage.QUOTED: "Quoted",
    Stage.ACCEPTED: "Accepted",
    Stage.IN_WORK: "In work",
    Stage.DELIVERED: "Delivered",
    Stage.CLOSED: "Closed",
    Stage.DECLINED: "Declined",
}

MOVES: Mapping[Stage, tuple[Stage, ...]] = {
    Stage.ENQUIRY: (Stage.QUOTED, Stage.DECLINED),
    Stage.QUOTED: (Stage.ACCEPTED, Stage.DECLINED, Stage.ENQUIRY),
    Stage.ACCEPTED: (Stage.IN_WORK, Stage.DECLINED),
    Stage.IN_WORK: (Stage.DELIVERED,),
    Stage.DELIVERED: (Stage.CLOSED, Stage.IN_WORK),
    Stage.CLOSED: (),
    Stage.DECLINED: (Stage.ENQUIRY,),
}

PATH: tuple[Stage, ...] = (
    Stage.ENQUIRY,
    Stage.QUOTED,
    Stage.ACCEPTED,
    Stage.IN_WORK,
    Stage.DELIVERED,
    Stage.CLOSED,
)


def may_move(now: Stage, to: Stage) -> bool:
    """Whether a commission in stage `now` may move to stage `to`."""
    return to in MOVES[now]
