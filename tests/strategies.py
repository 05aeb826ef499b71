"""Every hypothesis strategy that more than one test file draws from: names, places, commands, session files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from hypothesis import strategies as st

from putback.reports.wanted import wanted_things
from putback.trade import commands as c
from putback.trade.checks.all_jobs import JobAt, jobs_kept
from putback.trade.checks.last_look import last_look
from putback.trade.checks.ledger import all_wanting, bench_check, reachable
from putback.trade.checks.open_jobs import jobs_first
from putback.trade.commands.getting import STATES as GET_STATES
from putback.trade.commands.sorting_lots import mixed_lots
from putback.trade.commands.trips import still_out
from putback.trade.commands.trouble import TROUBLES
from putback.trade.record.bag import Bag
from putback.trade.record.fastener import CAME_OUT, DRIVES, HEADS, KINDS, LEFT_OVER, Thing
from putback.trade.record.job import AS_IT_IS, NOW, SIDES, SORTS, STATES, TAKES, WHENS, Job
from putback.trade.record.machine import FACES, Part
from putback.trade.record.making import Dimension
from putback.trade.record.photo import Photo
from putback.trade.record.place import bag_number
from putback.trade.record.record import Record
from putback.trade.record.spare import Spare
from putback.trade.record.step import LAST_LOOK, Adjustment, Soak, Step
from putback.trade.record.trip import HOW_BACK
from putback.trade.refit.confirmations import goes_in_new, unasked
from putback.trade.refit.way_back import steps_off

AT = "2025-03-01T10:00:00+01:00"
"""A stamp where the time does not matter."""

ODD_NAMES = (
    "left panel",
    "guard [red]",
    "[/] [bold]x[/bold]",
    "“quoted” 'and' \"so\"",
    "🔩 spring 🧲",
    "👩🏽‍🔧 zero-width joiner",
    "مسمار الغطاء",
    "ברגים קטנים",
    "Schraube für Ölwanne",
    "歯車",
    "e\u0301 combining",
    "tab\tand\nnewline",
    "\x1b[31mred",
    "{} %s {0}",
    "a" * 300,
    "\U0001d54f" * 300,
    "#8-32 x 3/8",
    "../../etc",
    "null",
)
"""Names that have broken screens, files or terminals."""


def names() -> st.SearchStrategy[str]:
    """What a person may call something: plain words, odd ones, and any text without half characters."""
    anything = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40)
    return st.one_of(st.sampled_from(["lid", "cam", "drum"]), st.sampled_from(ODD_NAMES), anything)


def some_names() -> st.SearchStrategy[str]:
    """Names from a small stock, so that the same part comes up again."""
    return st.sampled_from(["lid", "cam", "drum", "Lid", *ODD_NAMES[:6]])


def holes() -> st.SearchStrategy[str]:
    """Holes of the grid, some with a letter."""
    return st.sampled_from([*"123456789", "5a", "5b", "1a"])


PLACES = ("shelf", "box B", "bag 1", "bag 2", "loose", "kept with drum", "away: plater", "missing", "scrapped")
"""Places that anything may go to; the first three are where a replacement may lie."""

ODD_PLACES = ("fitted", "bag 0", "bag x", "bag 100000", "away:", "somewhere", "awayplater", "box", "bag 4", *ODD_NAMES)
"""What is no place, a place that will not do, or a new bag."""


def places() -> st.SearchStrategy[str]:
    """Places as a person says them, and a few that are none."""
    free = st.builds(
        lambda sort, word: sort + word,
        st.sampled_from(["box ", "kept with ", "away: ", "borrowed: ", "Away ", "away"]),
        names(),
    )
    return st.one_of(st.sampled_from(PLACES), st.sampled_from(ODD_PLACES), free)


# -- commands ----------------------------------------------------------------------------------------


@st.composite
def commands(draw: st.DrawFn, record: Record, machine: int) -> c.Command:
    """A command for a machine of a growing record: most often one that fits where it stands, sometimes any."""
    going_on = [enter, enter, enter, piece, finish, finish, bagging, said_of, mending]
    at_rest = [begin, begin, refit, refit, refit, bagging, moving, said_of, mending, forgetting, troubling]
    fitting = going_on if record.open_step(machine) is not None else at_rest
    anything = [begin, enter, piece, finish, refit, bagging, moving, said_of, setting_up, sitting, picturing]
    anything += [mending, forgetting, breaking_off, troubling, sending]
    chosen = draw(st.sampled_from([*fitting * 4, *anything]))
    return draw(chosen(record, machine))


def _spoilt(kind: type[c.Command], good: Mapping[str, Any], odd: Mapping[str, Any]) -> st.SearchStrategy[c.Command]:
    """Commands of a kind from good values by field; in one of four, one field has an odd one."""
    fields: dict[str, st.SearchStrategy[Any]] = {name: st.sampled_from(values) for name, values in good.items()}
    right = st.builds(kind, **fields)
    wrong = [st.builds(kind, **{**fields, name: st.sampled_from(values)}) for name, values in odd.items()]
    return st.integers(0, 3).flatmap(lambda n: right if n else st.one_of(*wrong))


def setting_up(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """Something about the tree or another machine."""
    return st.one_of(
        st.builds(c.AddAssembly, name=some_names(), inside=st.sampled_from(["", "drum", "nowhere"])),
        st.builds(c.RenamePart, step=_steps(record, machine), name=some_names()),
        st.builds(
            c.NewMachine,
            name=names(),
            serial=st.sampled_from(["", "41?7", "12"]),
            origin=st.sampled_from(["us", "uk", "metric", "unknown", "mars"]),
            first_bag=st.sampled_from([0, 0, 7, -1]),
        ),
        _spoilt(
            c.MendMachine,
            {
                "name": ["Press", None],
                "serial": ["", "12", None],
                "origin": ["uk", "metric", None],
                "country": ["Germany", "Japan"],
                "decade": ["1920s", "before 1925"],
                "trade": ["clock", "sewing machine"],
                "mass": ["9 kg"],
                "parts_go": ["shelf", "box", None],
            },
            {
                "name": ["", *ODD_NAMES],
                "serial": ODD_NAMES,
                "origin": ["mars", ""],
                "unit": ["mm", "ft", ""],
                "parts_go": ["bag 1"],
            },
        ),
    )


def sitting(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """Something about the session."""
    return st.one_of(
        st.builds(c.SayOfMachine, note=names(), caution=st.sampled_from(["", " ", "lead paint on the case"])),
        st.builds(
            c.MendSession,
            title=st.none() | names(),
            target=st.sampled_from([None, 50.0, 0.5, float("nan")]),
            box=st.sampled_from([None, "", "B"]),
        ),
        st.builds(c.StartSession, title=names(), target=st.sampled_from([40.0, 0.0, 1e9]), box=st.just("B")),
        st.sampled_from([c.Pause(), c.Resume(), c.EndSession(note="so far"), c.WasAway(since=AT), c.WasAway(since="")]),
        st.builds(c.WalkBack, step=_steps(record, machine), answer=st.sampled_from(["true", "not so", "maybe"])),
    )


def begin(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """A step begun, most often one that can be; a part that was put back comes off again now and then."""
    areas = [part.name for part in record.all(Part, machine) if part.assembly]
    before = [step.name for step in record.all(Step, machine) if step.back or step.do == "loosen"]
    number = record.count(Step, machine) + 1
    open_bags = [bag.number for bag in record.all(Bag, machine) if not bag.closed]
    good = {
        "do": ["take off"] * 5 + ["loosen", "undo", "mark", "turn"],
        "name": [f"part {number}", f"part {number}", *before, *ODD_NAMES[:5]],
        "inside": ["", "", *areas],
        "face": ["", *FACES],
        "bag": [0, 0, *open_bags],
        "needs": [None, None, (), (1,)],
        "whole": [False, False, True],
        "state": ["", "upright", "on its side"],
    }
    odd = {
        "do": ["smash"],
        "name": ["", "part 1"],
        "inside": ["nowhere"],
        "face": ["underneath"],
        "bag": [-1, 100_000, 1],
        "needs": [(number,), (number + 1,), (-1,)],
    }
    return _spoilt(c.Begin, good, odd)


def enter(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """A fastener taken out."""
    good = {
        "hole": [*"123456789", "5a", "5b", "1a"],
        "face": ["", "", "front", "top"],
        "kind": ["screw"] * 4 + ["washer", "nut", "bolt", "shim"],
        "size": ["#8-32 UNC x 3/8", "#6-32 UNC x 1/4", ""],
        "thread": ["#8-32 UNC", "#6-32 UNC", ""],
        "readings": [
            {"gauge": "832"},
            {"od": ".164", "length": ".372", "length_by": "eye"},
            {"gauge": "m5", "slot": ".05"},
            {},
        ],
        "head": ["fillister", "pan", ""],
        "drive": ["slot", ""],
        "hand": ["", "", "left", "right"],
        "turns": [0.0, 0.0, 2.5],
        "found": ["", "", "", "", "empty"],
        "should_be": ["", "", "#8-32 UNC x 1/2"],
        "note": ["", *ODD_NAMES],
    }
    odd = {
        "hole": ["0", "10", "5aa", ""],
        "face": ["underneath"],
        "kind": ["nail", "", *KINDS],
        "readings": [{"colour": "red"}, {"od": ".164", "od_by": "leaf"}],
        "head": ["egg", *HEADS],
        "drive": ["spoon", *DRIVES],
        "hand": ["both"],
        "turns": [-1.0, float("inf"), float("nan")],
        "found": ["full"],
        "note": ["half \ud800", "x" * 2_000_000],
    }
    return _spoilt(c.Enter, good, odd)


def piece(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """Loose pieces taken out."""
    good = {"name": ["ball", "spring", *ODD_NAMES], "count": [1, 1, 2, 6], "put": ["", "", "bag 1", "shelf"]}
    odd = {"name": ["", "\ud800"], "count": [0, -1, 10**9], "put": ODD_PLACES}
    return _spoilt(c.EnterPiece, good, odd)


def finish(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """A step ended."""
    good = {"put": ["", *PLACES], "minutes": [None, 5.0]}
    odd = {"put": ODD_PLACES, "minutes": [-1.0, float("nan")], "count": [0, 1, 2]}
    return _spoilt(c.Finish, good, odd)


def said_of(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """Something said of a step."""
    texts = st.lists(names(), max_size=2).map(tuple)
    adjust = st.builds(Adjustment, what=names(), turns=st.sampled_from([*[None] * 6, 2.5, 1.0, 0.5, float("inf")]))
    return st.one_of(
        st.builds(
            c.Annotate,
            step=_steps(record, machine),
            whole=st.sampled_from([None, None, None, True, False]),
            cautions=texts,
            at_refit=texts,
            tools=texts,
            adjust=st.lists(adjust, max_size=1).map(tuple),
            todo=st.lists(jobs(), max_size=2).map(tuple),
            soak=st.sampled_from([*[None] * 6, Soak("penetrant", 24.0), Soak("acid", -1.0)]),
            note=st.one_of(st.just(""), names()),
        ),
        st.builds(
            c.SetNeeds,
            step=_steps(record, machine),
            needs=st.lists(_steps(record, machine), max_size=2).map(tuple),
            why=st.sampled_from(["", "", "comes off easily, so first"]),
        ),
        st.builds(c.PutOnHold, reason=st.sampled_from(["", "the plate is in the way"]), in_the_way=st.booleans()),
        st.builds(c.TakeUpHeld, step=st.one_of(st.just(0), _steps(record, machine))),
        st.builds(c.DropHeld, step=st.one_of(st.just(0), _steps(record, machine))),
        st.builds(
            c.CameOut,
            thing=st.sampled_from([0, 0, 1, 2, 10_000]),
            how=st.lists(st.sampled_from([*CAME_OUT * 2, "by itself"]), max_size=2).map(tuple),
            freed=st.sampled_from(["", "", "heat"]),
        ),
        st.builds(c.TurnFace, face=st.sampled_from([*FACES, "", "underneath"])),
        working_on(record, machine),
    )


def jobs() -> st.SearchStrategy[Job]:
    """A job, most often one that can be."""
    return st.builds(
        Job,
        do=st.sampled_from([*SORTS * 2, "sell"]),
        what=names(),
        when=st.sampled_from(["", *WHENS * 3, "some day"]),
        since=st.sampled_from([*[""] * 6, NOW, AT, "yesterday"]),
        done=st.sampled_from([*[""] * 8, NOW, AT]),
        result=st.sampled_from(["", "", "brazed and filed"]),
        takes=st.sampled_from(["", "", *TAKES, "a week"]),
        side=st.sampled_from([*[""] * 5, *SIDES, "left"]),
        hole=st.sampled_from([*[""] * 5, "5", "5a", "0"]),
        measures=st.sampled_from([*[()] * 6, (Dimension("bore", "1/4 -.002"),), (Dimension("bore", "wide"),)]),
        count=st.sampled_from([*[1] * 9, 2, 0]),
        hours=st.sampled_from([*[0.0] * 9, 12.0, -1.0]),
    )


def working_on(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """A job in hand, done, to do again; most often one that there is."""
    there = list(jobs_kept(record, machine))
    known = [(_job_of(one), one.job.do, one.job.what) for one in there]
    states = st.sampled_from([*STATES * 3, "half done"])
    results = st.sampled_from(["", "", "brazed and filed", "half \ud800"])
    sorts = st.sampled_from(["", "sell"])
    odd = st.builds(c.WorkOn, step=_steps(record, machine), what=names(), state=states, do=sorts)
    numbers = [bag.number for bag in record.all(Bag, machine)] or [1]
    saying = st.builds(c.SayJob, job=jobs(), bag=st.sampled_from([*numbers, 0, 99]), of_machine=st.booleans())
    if not known:
        return odd | saying
    fitting = st.sampled_from(known).flatmap(
        lambda one: st.builds(
            c.WorkOn,
            do=st.sampled_from(["", one[1]]),
            what=st.just(one[2]),
            state=states,
            result=results,
            **_just(one[0]),
        )
    )
    mending_one = st.sampled_from(known).flatmap(
        lambda one: st.builds(
            c.MendJob, do=st.just(one[1]), what=st.just(one[2]), job=st.none() | jobs(), **_just(one[0])
        )
    )
    return st.one_of(fitting, fitting, mending_one, saying, odd)


def _job_of(one: JobAt) -> dict[str, Any]:
    """What a job is of, as the fields of a command."""
    if one.step is not None:
        return {"step": one.step.number}
    return {"bag": one.bag.number} if one.bag is not None else {"of_machine": True}


def bagging(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """Something with bags."""
    bags = list(record.all(Bag, machine))
    some = st.sampled_from([0, 1, 99, *(bag.number for bag in bags)])
    shut: list[c.Command] = [c.ReopenBag(number=bag.number) for bag in bags if bag.closed]
    open_ones: list[c.Command] = [c.CloseBag(number=bag.number) for bag in bags if not bag.closed]
    return st.one_of(
        st.builds(c.TakeBag, number=some),
        st.builds(c.TakeBag, number=st.sampled_from([0, 0, 1]), code=st.sampled_from(["PBLABEL", "PBOTHER"])),
        st.builds(c.CloseBag, number=some),
        st.builds(c.ReopenBag, number=some),
        *([st.sampled_from(shut)] if shut else []),
        *([st.sampled_from(open_ones)] if open_ones else []),
    )


def picturing(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """Photos filed, some of them again, and settled."""
    shown = st.builds(
        c.FiledPhoto,
        file=st.sampled_from([f"{n:032x}.jpg" for n in range(4)] * 3 + ["../x.jpg"]),
        name=names(),
        taken=st.just(AT),
        step=_steps(record, machine),
        when=st.sampled_from(["", "before", "after", "after", "never"]),
        back=st.booleans(),
        doubt=st.booleans(),
    )
    photos = st.sampled_from([1, 99, *(photo.id for photo in record.all(Photo, machine))])
    return st.one_of(
        st.builds(c.FilePhotos, photos=st.lists(shown, min_size=1, max_size=2).map(tuple)),
        st.builds(c.SettlePhoto, photo=photos, step=_steps(record, machine), back=st.sampled_from([None, True, False])),
    )


def breaking_off(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """Something seen to at a break."""
    named = {tool for step in record.all(Step, machine) for tool in step.tools}
    tools = st.lists(st.sampled_from(["driver", "Driver", "hook", *sorted(named)]), max_size=2).map(tuple)
    loose = [held.thing.id for held in bench_check(record, machine)]
    soaking = [step.number for step in record.all(Step, machine) if step.soak is not None]
    return st.one_of(
        st.builds(c.CountTools, tools=tools),
        st.builds(c.CountTools, tools=tools, missing=tools),
        st.builds(c.LeaveNote, note=names()),
        st.builds(c.HangTag, thing=st.sampled_from([*loose * 3, 1, 10_000]), tag=st.sampled_from(["", "", "B", "7"])),
        st.builds(
            c.EndSoak,
            step=st.sampled_from([*soaking * 3, 0, 1, 99]),
            minutes=st.sampled_from([None, 5.0, -1.0, float("nan")]),
        ),
    )


def sending(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """Something sent out or back, a spare that comes or goes in."""
    things = [thing.id for thing in record.all(Thing, machine)] or [1]
    off = [thing.id for thing in record.all(Thing, machine) if reachable(record, thing)] or [1]
    bags = [bag.number for bag in record.all(Bag, machine)] or [1]
    out = [sent.id for sent in still_out(record, machine)] or [1]
    spares = [spare.id for spare in record.all(Spare)] or [1]
    return st.one_of(
        _spoilt(
            c.SendOut,
            {"to": ["plater", "machinist"], "things": [(one,) for one in off], "due": ["", "2025-11-20"]},
            {"to": ["", "away: x"], "things": [(), (10_000,), tuple(things)], "bags": [(1,), (99,)], "due": ["soon"]},
        ),
        st.builds(c.SendOut, to=st.just("plater"), bags=st.sampled_from(bags).map(lambda one: (one,))),
        _spoilt(
            c.CameBack,
            {"sent": out, "how": HOW_BACK, "note": ["chipped"], "put": ["", "shelf"], "mixed": [False, True]},
            {"sent": [0, 10_000], "how": ["well"], "note": [""], "put": ODD_PLACES},
        ),
        st.builds(
            c.AllBack,
            to=st.just("plater"),
            at=st.sampled_from([sent.at for sent in still_out(record, machine)] or [AT]),
            put=st.sampled_from(["", "", "box B", "fitted"]),
            mixed=st.booleans(),
        ),
        _sorting(record, machine),
        _spoilt(
            c.FromDonor,
            {"thing": things[-4:], "donor": [one.id for one in record.all(Thing) if one.machine != machine] or [1]},
            {"thing": [10_000], "donor": [0, *things], "put": ODD_PLACES},
        ),
        _spoilt(
            c.AddSpare, {"size": ["#8-32 UNC x 3/8"], "count": [1, 5]}, {"size": [""], "count": [0], "kind": ["x"]}
        ),
        _spoilt(
            c.Getting,
            {"thing": [one.thing for one in wanted_things(record, machine)] or [1], "state": GET_STATES},
            {"thing": [*things, 10_000], "state": ["lost"], "count": [0, 9], "put": ODD_PLACES},
        ),
        _spoilt(
            c.TakeSpare,
            {"spare": spares, "thing": [0, *things[-4:]], "put": ["loose", "shelf"]},
            {"spare": [99], "thing": [10_000], "count": [0, 9], "put": ODD_PLACES},
        ),
    )


def _sorting(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """A mixed lot that is sorted by hand; most often one that there is, said whole."""
    lots = mixed_lots(record, machine)
    places = st.sampled_from([*[lot.place for lot in lots] * 3, "box B"])
    whole = [
        tuple(c.Sorted(thing=sent.thing, count=sent.count, put=put) for sent in lot.sent)
        for lot in lots
        for put in ("shelf", "missing", "bag 1")
    ]
    return st.builds(c.SortLot, place=places, rows=st.sampled_from([(), *whole]))


def moving(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """A thing moved by hand, counted or replaced; most often one that is there."""
    things = list(record.all(Thing, machine))
    off = [thing for thing in things if reachable(record, thing)]
    gone = [held.thing for held in all_wanting(record, machine)]
    if not things:
        return st.just(c.Carry(thing=1, count=1, source="shelf", target="missing"))
    return st.sampled_from([*things[-3:], *off[-6:], *gone, *gone]).flatmap(lambda thing: _moved(record, thing))


def _moved(record: Record, thing: Thing) -> st.SearchStrategy[c.Command]:
    standing = record.standing(thing.id) or {"shelf": 1}
    step = record.get(Step, thing.step).number
    place, count = next(iter(standing.items()))
    bag = bag_number(place) or 1
    ends = {"source": [*standing], "count": [1, 1, count], "target": [*PLACES]}
    odd_ends = {"source": ["shelf", "fitted"], "count": [0, -1, count + 1], "target": ODD_PLACES}
    named = {"what": [thing.called, thing.name], "step": [step]}
    new = {"thing": [thing.id], "count": [1, 1, count], "put": PLACES[:3], "size": ["", "M5"], "source": ["", place]}
    odd_new = {"count": [0, 99], "put": [*ODD_PLACES, "missing"], "source": ["shelf", "missing", "nowhere"]}
    takes: list[st.SearchStrategy[c.Command]] = [
        st.builds(c.StockTake, bag=st.just(bag), thing=st.just(thing.id), counted=st.integers(-1, count + 1))
    ]
    if any(held.thing.id == thing.id for held in all_wanting(record, thing.machine)):
        takes += [_spoilt(c.Replace, new, odd_new)] * 3
    return st.one_of(
        _spoilt(c.Carry, {"thing": [thing.id], **ends}, {"thing": [10_000], **odd_ends}),
        _spoilt(c.CarryNamed, {**named, **ends}, {"what": ["nothing"], "step": [99], **odd_ends}),
        *takes,
    )


def refit(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """A step confirmed or put back: the next one that is off, or any."""
    off = steps_off(record, machine)
    skipped = [s.number for s in off if s.skipped] or [1]
    back = [s.number for s in record.all(Step, machine) if s.back] or [1]
    put = st.sampled_from(["", "", "bag 1", "shelf", *ODD_PLACES])
    anything = st.one_of(
        st.builds(c.Confirm, step=_steps(record, machine), item=st.just("nothing of the kind")),
        st.builds(c.PutBack, step=_steps(record, machine)),
        st.builds(c.SkipStep, step=_steps(record, machine), reason=st.sampled_from(["no oil here", "", "later"])),
        st.builds(c.TakeUp, step=st.sampled_from([*skipped, 99])),
        st.builds(c.TakeOffAgain, step=st.sampled_from([*back, 0, 99]), put=put),
        st.builds(c.TakeOffAgain, step=st.sampled_from(back)),
        _spoilt(
            c.SetAs,
            {
                "step": [s.number for s in record.all(Step, machine) if s.adjust] or [1],
                "what": ["end stop"],
                "reading": ["2.5", "tight", ".312"],
                "why": ["it runs well so"],
            },
            {"step": [0, 99], "what": ["nothing"], "reading": ["", "90 turns"], "why": [""]},
        ),
        st.builds(c.NextTime, step=st.sampled_from([0, *back, 99]), words_said=names() | st.just("")),
    )
    if not off:
        return anything
    step = off[0]
    todo = [confirmed(record, step, item) for item in unasked(record, step)]
    for job in jobs_first(record, step):
        todo.append(c.Confirm(step=step.number, item=job.question, anyway=AS_IT_IS))
        todo.append(c.Confirm(step=step.number, item=job.question))
    todo += [c.Confirm(step=step.number, item=item, anyway="it will do") for item in goes_in_new(record, step)]
    fitting: list[c.Command] = [*todo] or [c.PutBack(step=step.number)]
    return st.one_of(st.sampled_from(fitting), st.sampled_from(fitting), anything)


def confirmed(record: Record, step: Step, item: str) -> c.Confirm:
    """Return what confirms one thing that refit asks; a cover is closed over what is open."""
    look = item == LAST_LOOK and any(end.open for end in last_look(record, step))
    return c.Confirm(step=step.number, item=item, anyway="it has to close" if look else "")


def mending(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """Something said right of a step, a fastener or a bag."""
    texts = st.lists(names(), max_size=2).map(tuple)
    areas = ["", *(part.name for part in record.all(Part, machine) if part.assembly)]
    steps = [step.number for step in record.all(Step, machine)] or [1]
    bags = [bag.number for bag in record.all(Bag, machine)] or [1]
    things = [thing.id for thing in record.all(Thing, machine)] or [1]
    fasteners = [t.id for t in record.all(Thing, machine) if t.sort == "fastener"] or [1]
    step_fields: list[st.SearchStrategy[c.Command]] = [
        _spoilt(c.MendStep, {"step": steps, name: good}, {"step": [0, -1, 99], name: odd})
        for name, good, odd in (
            ("name", ["lid", "cam", *ODD_NAMES[:5]], [""]),
            ("inside", areas, ["nowhere"]),
            ("face", ["", *FACES], ["underneath"]),
            ("put", PLACES, ODD_PLACES),
            ("minutes", [0.0, 12.5], [-1.0, float("nan")]),
            ("state", ["on its back"], ["half \ud800"]),
            ("cover", [True, False], [None]),
        )
    ]
    fastener_fields: list[st.SearchStrategy[c.Command]] = [
        _spoilt(
            c.MendFastener,
            {"thing": fasteners, name: good, "also": [(), (), tuple(fasteners[:2])]},
            {"thing": [10_000, *things], name: odd, "also": [(10_000,), tuple(things[:3])]},
        )
        for name, good, odd in (
            ("hole", [*"123456789", "5a"], ["0", ""]),
            ("kind", ["screw", "washer", "bolt"], ["nail", ""]),
            ("readings", [{"gauge": "632"}, {}], [{"colour": "red"}]),
            ("head", ["pan", ""], ["egg"]),
            ("hand", ["left", "right", ""], ["both"]),
            ("turns", [0.0, 2.0], [-1.0]),
            ("should_be", ["#8-32 UNC x 1/2", ""], ["half \ud800"]),
        )
    ]
    some = st.lists(st.sampled_from(things), max_size=3).map(tuple)
    open_bags = [bag for bag in record.all(Bag, machine) if not bag.closed]
    mixed = [(bag.number, tuple(record.in_bag(bag))) for bag in open_bags if len(record.in_bag(bag)) > 1]
    pairs = [(one.number, two.number) for one in open_bags for two in open_bags if one is not two]
    fitting: list[c.Command] = [c.SplitBag(number=number, things=held[:1]) for number, held in mixed]
    fitting += [c.MergeBags(number=one, into=two) for one, two in pairs]
    return st.one_of(
        *([st.sampled_from(fitting)] * 3 if fitting else []),
        *step_fields,
        *fastener_fields,
        st.builds(c.MendStep, step=st.sampled_from(steps), cautions=texts, at_refit=texts, tools=texts),
        st.just(c.NameLengths()),
        st.builds(c.MarkOnce, thing=st.sampled_from([*things, 10_000]), once=st.sampled_from([True, False, None])),
        st.builds(c.Rebag, thing=st.sampled_from([*things, 10_000]), bag=st.sampled_from([0, -1, *bags])),
        st.builds(c.SplitBag, number=st.sampled_from([99, *bags]), things=some, into=st.sampled_from([0, -1, *bags])),
        st.builds(
            c.LabelsPrinted, says=st.dictionaries(st.sampled_from([99, *bags]), st.just("two screws"), max_size=2)
        ),
        st.builds(c.MergeBags, number=st.sampled_from([99, *bags]), into=st.sampled_from([99, *bags])),
    )


def troubling(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """Trouble with a screw: most often one that can be in it."""
    screws = [t for t in record.all(Thing, machine) if t.hole and not record.stand_ins(t.id)]
    gone = [t for t in screws if "missing" in record.standing(t.id)]
    lone = [t for t in record.all(Thing, machine) if t.sort == LEFT_OVER]
    new: dict[str, Any] = {
        "size": "#8-32 UNC x 1/2",
        "thread": "#8-32 UNC",
        "length": "1/2",
        "readings": {"gauge": "832"},
    }
    fitting: list[st.SearchStrategy[c.Command]] = [
        st.builds(c.Trouble, what=st.just("left over"), step=_steps(record, machine), size=st.just("#8-32 UNC x 3/8"))
    ]
    for thing in screws[-6:]:
        step = record.get(Step, thing.step)
        holes = [t.spot for t in record.things_of(step) if t.hole]
        same: dict[str, Any] = {"thing": thing.id}
        by_name: dict[str, Any] = {"step": step.number, "hole": thing.hole, "face": thing.face, "kind": thing.name}
        fitting += [
            st.sampled_from([c.Trouble(what=what, **same) for what in ("lost", "broken", "thread gone")]),
            st.builds(c.Trouble, what=st.sampled_from(TROUBLES), note=names(), **_just(same)),
            st.just(c.Trouble(what="another goes in", **same, **new)),
            st.builds(c.Trouble, what=st.just("goes in another hole"), into=st.sampled_from(holes), **_just(same)),
            st.builds(
                c.Trouble, what=st.just("left over"), thing=st.sampled_from([0, *(t.id for t in lone)]),
                put=st.sampled_from(["", "bag 1"]), **_just(by_name), **_just(new),
            ),
        ]  # fmt: skip
    fitting += [st.just(c.Trouble(what="found again", thing=t.id)) for t in gone] * 3
    good = {
        "what": TROUBLES, "hole": [*"123456789", ""], "into": [*"123456789", "3 top"], "kind": ["screw", "washer"],
        "size": ["#8-32 UNC x 3/8", ""], "readings": [{"gauge": "832"}, {}], "step": [0, 1, 2],
        "put": ["", "", "shelf", "loose"], "note": ["", *ODD_NAMES],
    }  # fmt: skip
    odd = {
        "what": ["stolen", ""], "hole": ["0"], "into": ["10"], "kind": ["nail"], "step": [-1, 99], "put": ODD_PLACES,
        "thing": [10_000, 1], "head": ["egg"], "readings": [{"colour": "red"}], "note": ["half \ud800"],
    }  # fmt: skip
    return st.one_of(*fitting, _spoilt(c.Trouble, good, odd))


def _just(values: Mapping[str, Any]) -> dict[str, st.SearchStrategy[Any]]:
    return {name: st.just(value) for name, value in values.items()}


def forgetting(record: Record, machine: int) -> st.SearchStrategy[c.Command]:
    """A step, a fastener or pieces written in late."""
    steps = [step.number for step in record.all(Step, machine)] or [1]
    off = [step.number for step in steps_off(record, machine)] or [1]
    parts = [part.name for part in record.all(Part, machine)]
    good = {
        "before": steps,
        "do": ["take off"] * 3 + ["loosen", "undo", "mark", "turn"],
        "name": ["forgotten one", *parts[-3:], *ODD_NAMES[:5]],
        "inside": ["", *(part.name for part in record.all(Part, machine) if part.assembly)],
        "face": ["", *FACES],
        "put": ["", *PLACES],
        "needs": [None, None, (), (1,)],
        "state": ["", "upright"],
    }
    odd = {
        "before": [0, -1, 99], "do": ["smash"], "name": [""], "inside": ["nowhere"], "face": ["underneath"],
        "put": ODD_PLACES, "needs": [(99,), (-1,)],
    }  # fmt: skip
    late = {"step": off, "hole": [*"123456789"], "kind": ["screw", "washer"], "size": ["#6-32 UNC x 1/4"]}
    odd_late = {"step": [0, 99, *steps], "hole": ["0"], "kind": ["nail"]}
    return st.one_of(
        _spoilt(c.InsertStep, good, odd),
        _spoilt(c.EnterLate, late, odd_late),
        _spoilt(
            c.EnterPieceLate,
            {"step": off, "name": ["ball"], "count": [1, 3]},
            {"count": [0], "put": ODD_PLACES},
        ),
    )


def _steps(record: Record, machine: int) -> st.SearchStrategy[int]:
    last = record.count(Step, machine)
    return st.sampled_from([*range(1, last + 1)] * 2 + [0, 0, -1, last + 1])


# -- session files -----------------------------------------------------------------------------------


def session_files() -> st.SearchStrategy[dict[str, Any]]:
    """Session files as dicts that have no fault: one machine, some assemblies, sessions with steps."""
    return st.builds(_session_file, names(), st.lists(st.lists(_rough_steps(), max_size=4), max_size=3))


def _rough_steps() -> st.SearchStrategy[dict[str, Any]]:
    rough = {
        "do": st.sampled_from(["take off", "take off", "loosen", "mark", "turn", "undo"]),
        "screws": st.lists(st.sampled_from("123456789"), max_size=4, unique=True),
        "loose": st.integers(0, 3),
        "bag": st.integers(1, 3),
        "minutes": st.sampled_from([None, 0, 3, 12.5]),
        "tied": st.booleans(),
        "note": st.one_of(st.just(""), names()),
    }
    return st.fixed_dictionaries(rough)


def _session_file(name: str, sessions: list[list[dict[str, Any]]]) -> dict[str, Any]:
    number = 0
    found = []
    for index, rough in enumerate(sessions):
        steps = []
        for step in rough:
            number += 1
            steps.append(_step(number, step))
        found.append({"start": f"2025-0{index + 1}-02T10:00:00", "step": steps})
    machine = {"name": f"press {name}", "serial": "20?4", "origin": "us"}
    return {"machine": machine, "assemblies": {"case": {}, "bell": {"in": "case"}}, "session": found}


def _step(number: int, rough: dict[str, Any]) -> dict[str, Any]:
    step: dict[str, Any] = {"do": rough["do"], "part": f"part {number}", "in": "bell", "note": rough["note"]}
    if rough["minutes"] is not None:
        step["minutes"] = rough["minutes"]
    if not rough["tied"]:
        step["needs"] = []
    step["bag"] = rough["bag"]
    step["fasteners"] = [
        {"hole": hole, "gauge": "832", "length": ".372", "head": "fillister"} for hole in rough["screws"]
    ]
    if rough["loose"]:
        step["loose"] = [{"name": "ball", "count": rough["loose"]}]
    step["count"] = len(rough["screws"]) + rough["loose"]
    return step


def toml(value: dict[str, Any]) -> str:
    """Return a dict of texts, numbers, truths, lists and dicts as TOML; texts that are dates stay dates."""
    return "".join(f"{_key(key)} = {_toml(inner)}\n" for key, inner in value.items())


def _toml(value: Any) -> str:
    writers: dict[type, Callable[[Any], str]] = {
        bool: lambda v: "true" if v else "false",
        str: lambda v: v if v.startswith("2025-0") else _quoted(v),
        list: lambda v: "[" + ", ".join(map(_toml, v)) + "]",
        dict: lambda v: "{ " + ", ".join(f"{_key(k)} = {_toml(inner)}" for k, inner in v.items()) + " }",
    }
    return writers.get(type(value), repr)(value)


def _key(key: str) -> str:
    return key if key.isascii() and key.replace("_", "").isalnum() else _quoted(key)


def _quoted(text: str) -> str:
    escaped = "".join(
        f"\\U{ord(char):08x}" if ord(char) < 0x20 or ord(char) == 0x7F or char in '"\\' else char for char in text
    )
    return f'"{escaped}"'
