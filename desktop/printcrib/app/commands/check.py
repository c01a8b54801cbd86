"""`printcrib check`: look over the books and say every fault in a sentence."""

from printcrib.app.commands.answering import FAULT, answer, opened


def check(shop: str | None, as_json: bool) -> int:
    """File, keys, hash chain, ledgers, files, and the books against themselves; 1 on a fault."""
    from printcrib.services.check_books import check_books as against_themselves
    from printcrib.storage.check import check_books as as_kept

    with opened(shop) as wired:
        faults = (*as_kept(wired.books), *against_themselves(wired.shop))
    answer(
        {"whole": not faults, "faults": list(faults)}, as_json, lambda: faults or ("Everything is whole.",)
    )
    return FAULT if faults else 0
