"""How full the packer fills platforms, and how quickly: `python -m tests.bench.bench_packing [--sets N]`.

Sets and seeds are fixed; nothing here is asserted.
"""

import argparse
import statistics
import time

from tests.core.packing.sets import cut_up, shop_copies

from printcrib.core.compiled.packing import search_compiled
from printcrib.core.packing import fitting
from printcrib.core.packing.fitting import cannot_fit, fits
from printcrib.core.packing.order_search import Set, first_orders, search
from printcrib.core.planning.rows import place_in_rows

SIDE = 22_500  # hundredths of a millimetre: 220 mm and the gap
STEPS = {5: 1_000, 20: 120_000, 60: 15_000}
"""About a second each."""
GAP_MM = 5.0


def filling(count: int, seed: int) -> Set:
    """A set that fills a platform exactly."""
    sizes = cut_up(count, (SIDE, SIDE), seed)
    return Set(sizes, [width * depth for width, depth in sizes], (SIDE, SIDE))


def say_filled(sets: int) -> None:
    """Sets cut from a platform: the share of it that finds room again."""
    print("sets cut straight through from a platform of 225 x 225 mm (gap included), share placed again")
    for count, steps in STEPS.items():
        wanted = [filling(count, seed) for seed in range(sets)]
        started = time.perf_counter()
        first = [search_compiled(each, first_orders(each.sizes), 0, 1).worth / SIDE**2 for each in wanted]
        between = time.perf_counter()
        best = [search_compiled(each, first_orders(each.sizes), steps, 1).worth / SIDE**2 for each in wanted]
        ended = time.perf_counter()
        print(
            f"  {count:2} copies: 20 first orders {statistics.mean(first):6.1%} in "
            f"{1000 * (between - started) / sets:.2f} ms; {steps:,} steps {statistics.mean(best):6.1%}, "
            f"least {min(best):.1%}, in {(ended - between) / sets:.2f} s"
        )


def say_speed() -> None:
    """One order put on a platform, plain and compiled."""
    for count in (12, 20, 60):
        wanted = filling(count, 1)
        orders = first_orders(wanted.sizes)
        seconds = []
        for find in (search, search_compiled):
            started = time.perf_counter()
            find(wanted, orders, 80, 1)
            seconds.append((time.perf_counter() - started) / 100)
        plain, compiled = seconds
        print(f"  {count:2} copies: an order {1000 * plain:.2f} ms plain, {1e6 * compiled:.0f} us compiled")


def say_shop(sets: int, platform: tuple[float, float], share: float, sigma: float) -> None:
    """Copies as shops ask for them, up to a share of the platform: how many sets fit, how long it took."""
    rows = fit = proved = 0
    seconds: list[float] = []
    refused: list[float] = []
    for seed in range(sets):
        sizes = shop_copies(share, platform, GAP_MM, seed, sigma)
        started = time.perf_counter()
        layout = fits(platform, sizes, GAP_MM)
        (refused if layout is None else seconds).append(time.perf_counter() - started)
        rows += place_in_rows(platform, sizes, GAP_MM) is not None
        fit += layout is not None
        proved += cannot_fit(platform, sizes, GAP_MM)
    fitting.forget()
    print(
        f"  {platform[0]:g} x {platform[1]:g}, up to {share:.0%}, sigma {sigma}: {fit} of {sets} fit "
        f"({rows} in rows), {proved} plainly cannot; median {1000 * statistics.median(seconds):.2f} ms, "
        f"longest {1000 * max(seconds):.1f} ms, refused at the latest after "
        f"{1000 * max(refused, default=0.0):.0f} ms"
    )


def main() -> None:
    """Print the table."""
    given = argparse.ArgumentParser()
    given.add_argument("--sets", type=int, default=20)
    sets = given.parse_args().sets
    search_compiled(filling(5, 0), first_orders(filling(5, 0).sizes), 5, 1)  # warm
    say_filled(sets)
    print("speed")
    say_speed()
    print(f"copies as shops ask for them, {GAP_MM:g} mm apart, plain code, nothing looked up")
    for platform in ((220.0, 220.0), (250.0, 210.0), (300.0, 300.0)):
        for share in (0.75, 0.85, 0.95):
            say_shop(10 * sets, platform, share, 0.5)
    say_shop(10 * sets, (220.0, 220.0), 0.75, 1.0)


if __name__ == "__main__":
    main()
