"""The account of a step: everything that was said of it, in the order in which the hands need it on the way back.

Every outlet (screen, plan, spoken form, cards, book) renders the same value and computes nothing of its own.
"""

from putback.reports.account.blocks import Account, Block
from putback.reports.account.made import WayBack

__all__ = ["Account", "Block", "WayBack"]
