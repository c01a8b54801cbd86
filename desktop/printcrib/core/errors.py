"""What the shop is told when something cannot be done."""


class ShopError(Exception):
    """One plain sentence: what is wrong and what to do about it.

    Attributes:
        what: what is wrong, in shop words, without a full stop.
        do: what the person can do now, as a sentence.
    """

    def __init__(self, what: str, do: str = "") -> None:
        self.what = what
        self.do = do
        super().__init__(f"{what}. {do}".strip() if do else f"{what}.")


class StaleEdit(ShopError):
    """Somebody else changed the same record first.

    Attributes:
        who: the other person's name.
        typed: the record as it was typed, so that nothing of it is lost; None where storage raised it.
    """

    def __init__(self, thing: str, who: str, when: str) -> None:
        self.who = who
        self.typed: object = None
        super().__init__(f"{who} changed {thing} at {when}", "Look at the new values, then press again.")


class NotFound(ShopError):
    """A number that was typed or scanned is not in the shop's records."""
