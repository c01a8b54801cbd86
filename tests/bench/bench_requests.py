"""How fast the list of requests opens with very many: python -m tests.bench.bench_requests [COUNT]."""

import sys
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import perf_counter

from printcrib.app.wiring import open_shop
from printcrib.core.materials import Material
from printcrib.core.patterns import Pattern, Size
from printcrib.core.people import Role
from printcrib.core.requests import Copy, CopyState, Request, RequestState
from printcrib.core.shop import ShopSettings
from printcrib.services.edit_people import NewPerson
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_request import look_at_request
from printcrib.services.look_at_requests import Asked, Which, late_requests, look_at_requests
from printcrib.services.press import Press
from printcrib.services.set_up_shop import SetUp, set_up_shop

OPEN_OF = 50
START = datetime(2026, 1, 5, 6, 0, tzinfo=UTC)


def fill(shop: Shop, count: int) -> None:
    """So many requests of one size, two copies each, every fiftieth still open."""
    set_up = SetUp(
        settings=ShopSettings(name="bench"),
        people=(NewPerson(name="Lea", roles=(Role.LEAD,)), NewPerson(name="Max")),
        materials=(Material(name="PLA", density=1.24),),
    )
    set_up_shop(shop, Press(who_id=0), set_up)
    with shop.write(Press(who_id=1), "fill") as uow:
        pattern = uow.patterns.add(Pattern(number=uow.next_number("pattern"), name="spindle stop"))
        size = uow.sizes.add(Size(pattern_id=pattern.id, name="32 x 60"))
        for number in range(count):
            open_ = number % OPEN_OF == 0
            request = uow.requests.add(
                Request(
                    number=uow.next_number("request"),
                    asker_id=2,
                    entered_by_id=2,
                    words=f"stop number {number}",
                    size_id=size.id,
                    material_id=1,
                    quantity=2,
                    safety_answers=(),
                    needed_by=START + timedelta(minutes=40 * number),
                    state=RequestState.ACCEPTED if open_ else RequestState.DONE,
                )
            )
            state = CopyState.WANTED if open_ else CopyState.HANDED_OUT
            for ordinal in (1, 2):
                uow.copies.add(Copy(request_id=request.id, ordinal=ordinal, size_id=size.id, state=state))
        uow.commit()


def timed(words: str, work: Callable[[], object], times: int = 5) -> None:
    """Print the best and the worst of a few goes, in milliseconds."""
    taken = []
    for _ in range(times):
        begun = perf_counter()
        work()
        taken.append((perf_counter() - begun) * 1000)
    print(f"{words:<44} {min(taken):8.1f} ms best {max(taken):8.1f} ms worst")


def late(shop: Shop) -> int:
    """The late ones, as the Desk reads them."""
    with shop.read() as uow:
        return len(late_requests(uow))


def main(count: int) -> None:
    """Fill a shop in a folder of its own and time what the screens read."""
    with tempfile.TemporaryDirectory() as folder:
        wired = open_shop(Path(folder) / "shop", create=True)
        try:
            shop = wired.shop
            fill(shop, count)
            print(f"{count} requests, {2 * count} copies")
            timed("open requests", lambda: look_at_requests(shop))
            timed("all requests, newest 200", lambda: look_at_requests(shop, Asked(which=Which.ALL)))
            timed("text in all", lambda: look_at_requests(shop, Asked(which=Which.ALL, text="number 99")))
            timed("text in every one", lambda: look_at_requests(shop, Asked(which=Which.ALL, text="stop")))
            timed("late requests for the Desk", lambda: late(shop))
            timed("one request", lambda: look_at_request(shop, count // 2, 1))
        finally:
            wired.close()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
