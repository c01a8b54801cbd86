"""Which page stands for each of the nine places; imported when first opened, so that the start is quick."""

from typing import TYPE_CHECKING

from printcrib.screens.parts.page import PageFrame

if TYPE_CHECKING:
    from printcrib.screens.shell.standing import Standing


def make_page(place_id: str, standing: "Standing") -> PageFrame:
    """The page of a place, for the person who stands at this station."""
    return _MAKERS[place_id](standing)


def _desk(standing: "Standing") -> PageFrame:
    from printcrib.screens.desk.screen import DeskPage

    return DeskPage(standing)


def _requests(standing: "Standing") -> PageFrame:
    from printcrib.screens.requests.screen import RequestsPage

    return RequestsPage(standing)


def _run_sheet(standing: "Standing") -> PageFrame:
    from printcrib.screens.run_sheet.screen import RunSheetPage

    return RunSheetPage(standing)


def _spool_rack(standing: "Standing") -> PageFrame:
    from printcrib.screens.spool_rack.screen import SpoolRackPage

    return SpoolRackPage(standing)


def _aids(standing: "Standing") -> PageFrame:
    from printcrib.screens.aids.screen import AidsPage

    return AidsPage(standing)


def _trouble_log(standing: "Standing") -> PageFrame:
    from printcrib.screens.trouble_log.screen import TroubleLogPage

    return TroubleLogPage(standing)


def _pattern_book(standing: "Standing") -> PageFrame:
    from printcrib.screens.pattern_book.screen import PatternBookPage

    return PatternBookPage(standing)


def _week_summary(standing: "Standing") -> PageFrame:
    from printcrib.screens.week_summary.screen import WeekSummaryPage

    return WeekSummaryPage(standing)


def _shop_settings(standing: "Standing") -> PageFrame:
    from printcrib.screens.shop_settings.screen import ShopSettingsPage

    return ShopSettingsPage(standing)


_MAKERS = {
    "desk": _desk,
    "requests": _requests,
    "run_sheet": _run_sheet,
    "spool_rack": _spool_rack,
    "aids": _aids,
    "trouble_log": _trouble_log,
    "pattern_book": _pattern_book,
    "week_summary": _week_summary,
    "shop_settings": _shop_settings,
}
