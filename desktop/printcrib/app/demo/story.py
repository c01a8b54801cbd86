"""The whole job once, step by step: from a machinist's file to the reprint and the week on paper.

Every step is one press of one service, or one look; the numbers in its sentences come from the books.
"""

from printcrib.app.demo.story_in_use import count, hand_out_copies, into_the_book, reprint
from printcrib.app.demo.story_in_use import print_week as print_the_week
from printcrib.app.demo.story_to_print import accept, ask, plan, print_one
from printcrib.app.demo.telling import FIRST_DAY, Teller, Told


class Story(Teller):
    """Tells the story in a demo shop, over two of its working days."""

    def tell(self) -> Told:
        """The whole story but its last step; it begins at 07:10 on the first day with free printers."""
        self.desk.starts = False
        self.go(FIRST_DAY, "07:10")
        for part in (ask, accept, plan, print_one, hand_out_copies, into_the_book):
            part(self)
        self.desk.starts = True
        count(self)
        reprint(self)
        return self.told

    def print_week(self) -> None:
        """The last step: the week in which the request was raised, on paper."""
        print_the_week(self)
