"""What the place "Week summary" shows: one week as it prints, and what in it is worth a look."""

from dataclasses import dataclass
from typing import Any

from printcrib.core.calendar import iso_week_span, iso_week_text
from printcrib.core.week import Remark, Week
from printcrib.services.interfaces import Shop
from printcrib.services.weekly_report import week, week_before
from printcrib.services.write_week import days_words, week_json


@dataclass(frozen=True)
class WeekPage:
    """One week on the screen.

    Attributes:
        number: 48. head: "Week 48 so far, as it prints." before, after: texts of the weeks beside it;
            after is None for the week the shop is in.
        data: what the report is set from. file_name: offered for the PDF.
    """

    week: Week
    number: int
    head: str
    days: str
    before: str
    after: str | None
    remarks: tuple[Remark, ...]
    data: dict[str, Any]
    file_name: str


def look_at_week(shop: Shop, text: str = "") -> WeekPage:
    """One week as the screen shows it; "" is the week the shop is in.

    Raises:
        ShopError: the text is no week, or one that has not begun.
    """
    made = week(shop, text)
    _, ends = iso_week_span(made.week, made.zone)
    number = int(made.week.partition("-W")[2])
    return WeekPage(
        week=made,
        number=number,
        head=f"Week {number}{'' if made.over else ' so far'}, as it prints.",
        days=days_words(made),
        before=week_before(made.week, made.zone),
        after=iso_week_text(ends, made.zone) if ends <= made.made_at else None,
        remarks=made.remarks,
        data=week_json(made),
        file_name=f"print-desk-{made.week}.pdf",
    )


def week_pictures(shop: Shop, page: WeekPage, pixels_per_inch: float) -> tuple[bytes, ...]:
    """The pages as PNG pictures; takes some tenths of a second, so it belongs in the background."""
    return shop.reports.week_pages(page.data, pixels_per_inch)
