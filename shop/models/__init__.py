"""The tables of the workshop."""

from .calendar import WEEKDAYS, Closure, Opening, WorkingCalendar
from .clocking import Clocking, ClockingCorrection
from .day_issue import DayIssue
from .feed import Feed
from .hand import Hand, HandSkill
from .heartbeat import Heartbeat
from .job import Job
from .logo import Logo
from .pin import Pin
from .plan import Booking, Plan
from .plan_change import PlanChange
from .scenario import Scenario
from .station import Station
from .token import ApiToken
from .user import User
from .workshop import Membership, Workshop

__all__ = [
    "WEEKDAYS",
    "ApiToken",
    "Booking",
    "Clocking",
    "ClockingCorrection",
    "Closure",
    "DayIssue",
    "Feed",
    "Hand",
    "HandSkill",
    "Heartbeat",
    "Job",
    "Logo",
    "Membership",
    "Opening",
    "Pin",
    "Plan",
    "PlanChange",
    "Scenario",
    "Station",
    "User",
    "WorkingCalendar",
    "Workshop",
]
