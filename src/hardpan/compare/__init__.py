"""Plan against ledger: what is next, what is at risk, how far the day went, what is accepted, what was different where it failed.

Pure functions of a plan, a state and, where time passes, a ``now``; nothing here keeps or changes anything.
"""

from hardpan.compare.acceptance import Acceptance, propose_acceptance
from hardpan.compare.agreement import Agreement, Misfit, three_agree
from hardpan.compare.checks import Check
from hardpan.compare.differences import NOTHING_TELLS, Difference, what_was_different
from hardpan.compare.held import NO_LIMIT, Bounds
from hardpan.compare.lots import Lot
from hardpan.compare.outlook import Outlook, look_ahead
from hardpan.compare.progress import Progress, compare_progress

__all__ = [
    "NOTHING_TELLS",
    "NO_LIMIT",
    "Acceptance",
    "Agreement",
    "Bounds",
    "Check",
    "Difference",
    "Lot",
    "Misfit",
    "Outlook",
    "Progress",
    "compare_progress",
    "look_ahead",
    "propose_acceptance",
    "three_agree",
    "what_was_different",
]
