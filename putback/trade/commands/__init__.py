"""Everything a person can do, as data, by families; `apply` makes a change of a command, or says why not."""

from __future__ import annotations

from putback.trade.commands.bag_corrections import MergeBags, Rebag, SplitBag
from putback.trade.commands.bagging import Carry, CarryNamed, CloseBag, ReopenBag, Replace, StockTake, TakeBag
from putback.trade.commands.breaks import CountTools, EndSoak, HangTag, LeaveNote
from putback.trade.commands.coming_out import CameOut
from putback.trade.commands.command import Command, Readings
from putback.trade.commands.corrections import MarkOnce, MendFastener, MendStep
from putback.trade.commands.donors import FromDonor
from putback.trade.commands.entering import Enter, EnterPiece
from putback.trade.commands.first_look import LookAt, MendLook
from putback.trade.commands.getting import Getting
from putback.trade.commands.jobs import MendJob, SayJob, WorkOn
from putback.trade.commands.late_entries import EnterLate, EnterPieceLate, InsertStep
from putback.trade.commands.looking_back import NextTime, SetAs
from putback.trade.commands.machines import AddAssembly, MendMachine, NewMachine, RenamePart, SayOfMachine
from putback.trade.commands.naming_lengths import NameLengths
from putback.trade.commands.needs import SetNeeds
from putback.trade.commands.notes import Annotate
from putback.trade.commands.off_again import SkipStep, TakeOffAgain, TakeUp
from putback.trade.commands.on_hold import DropHeld, PutOnHold, TakeUpHeld
from putback.trade.commands.photos import FiledPhoto, FilePhotos, SettlePhoto
from putback.trade.commands.printed_labels import LabelsPrinted
from putback.trade.commands.putting_back import Confirm, PutBack
from putback.trade.commands.sessions import EndSession, MendSession, Pause, Resume, StartSession, WalkBack, WasAway
from putback.trade.commands.sorting_lots import Sorted, SortLot
from putback.trade.commands.sparing import AddSpare, TakeSpare
from putback.trade.commands.taking_off import Begin, Finish, TurnFace
from putback.trade.commands.trips import AllBack, CameBack, SendOut
from putback.trade.commands.trouble import Trouble

__all__ = [
    "AddAssembly",
    "AddSpare",
    "AllBack",
    "Annotate",
    "Begin",
    "CameBack",
    "CameOut",
    "Carry",
    "CarryNamed",
    "CloseBag",
    "Command",
    "Confirm",
    "CountTools",
    "DropHeld",
    "EndSession",
    "EndSoak",
    "Enter",
    "EnterLate",
    "EnterPiece",
    "EnterPieceLate",
    "FilePhotos",
    "FiledPhoto",
    "Finish",
    "FromDonor",
    "Getting",
    "HangTag",
    "InsertStep",
    "LabelsPrinted",
    "LeaveNote",
    "LookAt",
    "MarkOnce",
    "MendFastener",
    "MendJob",
    "MendLook",
    "MendMachine",
    "MendSession",
    "MendStep",
    "MergeBags",
    "NameLengths",
    "NewMachine",
    "NextTime",
    "Pause",
    "PutBack",
    "PutOnHold",
    "Readings",
    "Rebag",
    "RenamePart",
    "ReopenBag",
    "Replace",
    "Resume",
    "SayJob",
    "SayOfMachine",
    "SendOut",
    "SetAs",
    "SetNeeds",
    "SettlePhoto",
    "SkipStep",
    "SortLot",
    "Sorted",
    "SplitBag",
    "StartSession",
    "StockTake",
    "TakeBag",
    "TakeOffAgain",
    "TakeSpare",
    "TakeUp",
    "TakeUpHeld",
    "Trouble",
    "TurnFace",
    "WalkBack",
    "WasAway",
    "WorkOn",
]
