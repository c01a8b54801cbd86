"""What the people of the demo shop ask for, day by day, and how the desk and the reviewer answer."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from printcrib.app.demo.desk import Desk
from printcrib.app.demo.shop import DESK, LEAD, MACHINISTS, REVIEWER
from printcrib.core.calendar import shop_day
from printcrib.core.patterns import Fineness
from printcrib.core.requests import Request, RequestState
from printcrib.services.accept_request import Accepted, Choices, accept_request
from printcrib.services.interfaces import Done, is_
from printcrib.services.release_use import Outside, Terms, covering_release, gate_of, live_release, release
from printcrib.services.take_request import NewRequest, raise_request


@dataclass(frozen=True)
class Usual:
    """Something that is asked for again and again.

    Attributes:
        share: how often against the others. quantities, machines, hours: one of each is taken; hours from
            asking to needed by.
    """

    size: str
    share: int
    quantities: Sequence[int] = (1,)
    machines: Sequence[str] = ("Lathe 1", "Lathe 2", "Mill 1", "Mill 2")
    hours: Sequence[int] = (9, 26, 30, 48)
    jobs: Sequence[str] = ("J-2291", "J-2304", "J-2310", "")
    how_fine: Fineness | None = None


USUAL: tuple[Usual, ...] = (
    Usual("hose clip 20", 7, (2, 3, 4), hours=(26, 48, 74)),
    Usual("hose clip 16", 4, (2, 4), hours=(26, 50)),
    Usual("thread cap M30 x 3", 5, (3, 4, 6), ("Lathe 1", "Lathe 2")),
    Usual("thread cap M24 x 3", 4, (4, 6), ("Lathe 1", "Lathe 2")),
    Usual("jaw pad 100 x 40", 6, (2,), ("Mill 1", "Mill 2"), (10, 26, 30)),
    Usual("length stop 20 x 60", 4, (1, 2), ("Lathe 1", "Lathe 2"), (9, 26)),
    Usual("length stop 25 x 80", 2, (1,), ("Lathe 2",), (26, 50)),
    Usual("deburring nest bracket 4021", 2, (1,), ("Bench",), (28, 52), ("J-2291",)),
    Usual("funnel 90 to 16", 3, (1, 2), hours=(50, 74)),
    Usual("caliper rest 165 x 62", 2, (1,), ("Bench",), (74, 98), ("",)),
    Usual("rail cover 23 x 140", 3, (2,), ("Mill 1", "Mill 2"), (48, 74)),
    Usual("drill template 12 x 6 on 90", 2, (1,), ("Bench", "Mill 2"), (30, 52), ("J-2304",)),
    Usual("numbered tag 46 x 24", 2, (6, 8), ("Bench",), (50, 98), ("",)),
    Usual("cable comb 6 x 7", 3, (2, 3), hours=(50, 98)),
    Usual("cable comb 4 x 9", 2, (2,), hours=(50, 98)),
    Usual("collet tray 26 mm, 8 seats", 1, (1,), ("Lathe 2",), (98, 122), ("",)),
)

OUTSIDE = "H. Lindner, safety engineer"
ASKED_BY = (*MACHINISTS, *MACHINISTS, REVIEWER, LEAD)


class Asking:
    """Raises requests in the people's names and sees them through acceptance and review."""

    def __init__(self, desk: Desk) -> None:
        self.desk, self.demo, self.shop = desk, desk.demo, desk.shop
        self.chance = desk.chance

    def usual(self, *, size: str = "", hours: int | None = None, by: str = "") -> NewRequest:
        """One of the usual things, by chance or by name."""
        known = [each for each in USUAL if not size or each.size == size]
        each = self.chance.choices(known, [one.share for one in known])[0]
        return self.ask(
            each.size,
            quantity=self.chance.choice(each.quantities),
            machine=self.chance.choice(each.machines),
            hours=hours or self.chance.choice(each.hours),
            by=by or self.chance.choice(ASKED_BY),
            job=self.chance.choice(each.jobs),
        )

    def ask(
        self,
        size: str,
        *,
        by: str,
        quantity: int = 1,
        machine: str = "",
        hours: float = 26,
        job: str = "",
    ) -> NewRequest:
        """Somebody asks for a size of the book, the safety questions answered."""
        size_id = self.demo.sizes[size]
        with self.shop.read() as uow:
            released = live_release(uow, size_id) is not None
            answers = uow.patterns.get(uow.sizes.get(size_id).pattern_id).safety_answers
        return NewRequest(
            asker_id=self.demo.people[by],
            size_id=size_id,
            quantity=quantity,
            machine_id=self.demo.machines.get(machine),
            needed_by=self.needed(hours),
            job=job,
            same_use=True if released else None,
            safety_answers=None if released else answers or (),
        )

    def needed(self, hours: float) -> datetime:
        """So many hours from now, in whole five minutes and within a shift."""
        moment = self.desk.clock.moment + timedelta(hours=hours)
        moment = moment.replace(second=0, microsecond=0, minute=moment.minute // 5 * 5)
        return self.desk.in_hours(moment).replace(second=0)

    def put(self, ask: NewRequest) -> Request:
        """Raise it."""
        return self.put_done(ask).value

    def put_done(self, ask: NewRequest) -> Done[Request]:
        """Raise it; with the press."""
        who = self._name_of(ask.asker_id or 0)
        return raise_request(self.shop, self.demo.press(who, station="form"), ask)

    def put_and_accept(self, ask: NewRequest, *, wait: int = 9, weight: int | None = None) -> Request:
        """Raise it now; the desk accepts it some minutes later and a reviewer looks at it after that."""
        request = self.put(ask)
        when = self.desk.in_hours(self.desk.clock.moment + timedelta(minutes=wait))
        self.desk.later(when, lambda: self._accept_then_review(request.id, weight))
        return request

    def _accept_then_review(self, request_id: int, weight: int | None) -> None:
        self.accept(request_id, weight)
        if self.needs_review(request_id):
            minutes = self.chance.randint(35, 170)
            when = self.desk.in_hours(self.desk.clock.moment + timedelta(minutes=minutes))
            self.desk.later(when, lambda: self.review(request_id))

    def accept(self, request_id: int, weight: int | None = None) -> Accepted:
        """The desk accepts."""
        return self.accept_done(request_id, weight).value

    def accept_done(self, request_id: int, weight: int | None = None) -> Done[Accepted]:
        """The desk accepts; with the press."""
        return accept_request(self.shop, self.demo.press(DESK), request_id, Choices(weight=weight))

    def needs_review(self, request_id: int) -> bool:
        """Whether a reviewer has to release it before it is handed out."""
        with self.shop.read() as uow:
            request = uow.requests.get(request_id)
            return gate_of(uow, request).needs_release and covering_release(uow, request) is None

    def review(self, request_id: int, until: datetime | None = None) -> None:
        """The reviewer releases its size and revision for its material, every nozzle and any machine."""
        with self.shop.read() as uow:
            request = uow.requests.get(request_id)
        if request.state not in (RequestState.RAISED, RequestState.ACCEPTED):
            return
        if not self.needs_review(request_id):
            return
        terms = Terms(conditions="checked on the first piece", until=until)
        who = REVIEWER
        if request.asker_id == self.demo.people[REVIEWER]:
            who = LEAD  # nobody releases their own request: the lead records somebody from outside
            day = shop_day(self.desk.clock.moment, self.desk.days.zone)
            terms = replace(terms, outside=Outside(name=OUTSIDE, day=day, words="seen on the machine"))
        release(self.shop, self.demo.press(who), request_id, terms)

    def open_count(self) -> int:
        """How many requests are open now."""
        states = (RequestState.DRAFT, RequestState.RAISED, RequestState.SENT_BACK, RequestState.ACCEPTED)
        with self.shop.read() as uow:
            return sum(uow.requests.count(is_("state", state)) for state in states)

    def _name_of(self, person_id: int) -> str:
        return next(name for name, key in self.demo.people.items() if key == person_id)
