"""Sets of copies for the packing tests and benches."""

import random

Cut = tuple[int, int]


def cut_up(count: int, platform: Cut, seed: int) -> list[Cut]:
    """A platform cut straight through into so many pieces, so that they fill it exactly.

    The piece to cut is drawn by its area, and cut across its longer side at 20 to 80 % of it; pieces are
    turned at random and shuffled.
    """
    chance = random.Random(seed)
    pieces = [platform]
    while len(pieces) < count:
        (width, depth) = pieces.pop(chance.choices(range(len(pieces)), [w * d for w, d in pieces])[0])
        across = chance.uniform(0.2, 0.8)
        if width >= depth:
            first = max(1, round(width * across))
            pieces += [(first, depth), (width - first, depth)]
        else:
            first = max(1, round(depth * across))
            pieces += [(width, first), (width, depth - first)]
    turned = [piece if chance.random() < 0.5 else piece[::-1] for piece in pieces]
    chance.shuffle(turned)
    return turned


def shop_copies(
    share: float, platform_mm: tuple[float, float], gap_mm: float, seed: int, sigma: float = 0.5
) -> list[tuple[float, float]]:
    """Footprints as shops ask for them, as many as cover a share of a platform with their gaps.

    Medians 55 x 45 mm, lognormal, no larger than the platform (own assumption); those that would be too much
    are left out, after 20 of them it ends.
    """
    chance = random.Random(seed)
    area, too_much, chosen = 0.0, 0, list[tuple[float, float]]()
    while too_much < 20:
        width = min(55 * chance.lognormvariate(0, sigma), platform_mm[0])
        depth = min(45 * chance.lognormvariate(0, sigma), platform_mm[1])
        more = (width + gap_mm) * (depth + gap_mm)
        if area + more <= share * platform_mm[0] * platform_mm[1]:
            area += more
            chosen.append((width, depth))
        else:
            too_much += 1
    return chosen
