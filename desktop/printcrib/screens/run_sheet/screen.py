"""The place "Run sheet": a time line a printer, and the list of runs with why each stands there."""

from collections.abc import Mapping

from PySide6.QtCore import QTimer

from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.pick_file import RunPlaces
from printcrib.screens.parts.record_table import ROW_PX, RecordTable
from printcrib.screens.run_sheet.lanes import Lanes
from printcrib.screens.run_sheet.model import columns, model
from printcrib.screens.run_sheet.presenter import RunSheetPresenter
from printcrib.screens.run_sheet.run_panel import RunPanel
from printcrib.screens.run_sheet.words import Head, ListRow, list_rows, past_rows, time_line_of
from printcrib.screens.shell.run_files import RunFiles
from printcrib.screens.shell.standing import Standing
from printcrib.services.give_print_file import RunFile
from printcrib.services.look_at_run import RunPage
from printcrib.services.look_at_runs import RunSheet

LOOK_EVERY_MS = 60_000
"""The plan rolls forward with the clock."""

LOW_ROW_PX = 54
EMPTY = (
    "No run is planned. Raise a request, or accept one that waits in Requests: "
    "the tool then gives it its place here."
)


class RunSheetPage(PageFrame):
    """Runs in order, with shifts, set-ups, needed-by marks, and what grouping saves."""

    _chosen: ListRow | None = None
    """A line of the list, or a run of the lanes that the list has no line for."""

    def __init__(self, standing: Standing) -> None:
        super().__init__(
            "Run sheet",
            main=Action("main", "Keep this plan", lambda: self._presenter.press(), shortcut="Ctrl+Return"),
            others=[
                Action(
                    "open", "Open it", lambda: self._open_chosen(), enabled_when=lambda: self._has_chosen()
                ),
                Action("beside", "See the proposal", lambda: self._presenter.beside()),
            ],
            unseen=[Action("plan", "Plan again", lambda: self._presenter.plan_again(), shortcut="Ctrl+R")],
        )
        self._presenter = RunSheetPresenter(standing, self)
        self._files = RunFiles(standing, RunPlaces(self))
        self._wanted: int | None = None
        self._kept: int | None = None
        self._past: dict[int, ListRow] = {}
        self.panel: RunPanel | None = None
        self._shown: tuple[int, ListRow] | None = None
        self.lanes = Lanes()
        self.table: RecordTable[ListRow] = RecordTable(model(), says="runs", row_px=LOW_ROW_PX, empty=EMPTY)
        self.table.chosen_changed.connect(self._on_row_chosen)
        self.table.opened.connect(self._presenter.open)
        self.lanes.line.run_chosen.connect(self._on_block_chosen)
        self.lanes.line.run_opened.connect(lambda _key: self._open_chosen())
        self.body.addWidget(self.lanes)
        self.body.addWidget(self.table, 1)
        self.other_buttons["beside"].hide()
        self._clock = QTimer(self, interval=LOOK_EVERY_MS)
        self._clock.timeout.connect(self._on_clock)
        self._clock.start()
        self.width_changed.connect(self._on_width)
        self._on_width(self.wide)

    def arrived(self) -> None:
        """The place came to the front."""
        self._presenter.look()

    def refresh(self, things: frozenset[str]) -> None:
        """Read the sheet anew when a plan may come out otherwise."""
        if self.isVisible() and self._presenter.concerns(things):
            self._presenter.look()

    def go_to(self, key: int) -> None:
        """Show a run; another place led here. One the sheet does not show is opened in full."""
        if not self._choose(key):
            self._wanted = key
            self._presenter.look()

    def kept_state(self) -> Mapping[str, str]:
        """Which run was chosen."""
        run_id = self._chosen.run_id if self._chosen is not None else self._kept
        return {"run": str(run_id)} if run_id else {}

    def restore_state(self, state: Mapping[str, str]) -> None:
        """Go back to it."""
        kept = state.get("run", "")
        self._kept = int(kept) if kept.isdigit() else None

    def show_sheet(self, sheet: RunSheet, head: Head) -> None:
        """Lanes and list of a plan."""
        self.set_title(head.title)
        self.set_subtitle(head.words.replace("R ", "R\u00a0"))  # no line ends between R and its number
        if self.main_button is not None:
            self.main_button.set_words(head.main_words)
        beside = self.other_buttons["beside"]
        beside.set_words(head.other_words)
        beside.setVisible(bool(head.other))
        self._past = past_rows(sheet)
        self.lanes.set_data(time_line_of(sheet))
        self.table.set_records(list_rows(sheet))
        self._choose_again()

    def show_run(self, page: RunPage, row: ListRow) -> None:
        """One run in full."""
        self._close()
        panel = RunPanel(page, row)
        run = page.run
        panel.led_to.connect(self._on_led)
        panel.one_file_wanted.connect(lambda: self._files.save_3mf(run.id, run.number))
        panel.folder_wanted.connect(lambda: self._files.save_folder(run.id, run.number))
        panel.print_file_given.connect(lambda path: self._presenter.read_print_file(run.id, path))
        panel.print_file_taken.connect(lambda file: self._presenter.give_print_file(run.id, file))
        panel.backed.connect(self._close)
        self.panel = panel
        self._shown = (run.id, row)
        panel.open_over(self)

    def doubt_file(self, run_id: int, file: RunFile) -> None:
        """A print file that does not look like that of the run shown."""
        if self.panel is not None and self._shown is not None and self._shown[0] == run_id:
            self.panel.doubt_file(file)

    def file_given(self, run_id: int) -> None:
        """A run has its print file: what is shown of it is read anew."""
        if self.panel is not None and self._shown is not None and self._shown[0] == run_id:
            self._presenter.open(self._shown[1])

    def file_refused(self, sentence: str) -> bool:
        """Say it on the sheet of the run; False when it is gone."""
        if self.panel is not None:
            self.panel.set_error(sentence)
        return self.panel is not None

    def _on_clock(self) -> None:
        if self.isVisible():
            self._presenter.look()

    def _has_chosen(self) -> bool:
        return self._chosen is not None

    def _open_chosen(self) -> None:
        if self._chosen is not None:
            self._presenter.open(self._chosen)

    def _on_led(self, place_id: str, key: int) -> None:
        self._close()
        self._presenter.open_place(place_id, key)

    def _on_row_chosen(self, row: ListRow | None) -> None:
        """Show the same run on the lanes; the hours in view stay when it is the one it was."""
        self._chosen = row
        key = row.key if row is not None and isinstance(row.key, int) else None
        if self.lanes.line.chosen != key:
            self.lanes.line.choose(key)
        self.refresh_actions()

    def _on_block_chosen(self, key: int) -> None:
        self._choose(key)

    def _choose(self, key: int | str) -> bool:
        """Choose a run of the list or of the lanes; False when it is on neither."""
        chosen = self.table.chosen
        if chosen is not None and chosen.key == key:
            self._on_row_chosen(chosen)
            return True
        if self.table.choose(key):
            return True
        row = self._past.get(key) if isinstance(key, int) else None
        if row is not None:
            self.table.choose_none()
            self._on_row_chosen(row)
        return row is not None

    def _choose_again(self) -> None:
        """Choose the run somebody came for, else the one it was, else the first."""
        wanted, self._wanted = self._wanted, None
        kept, self._kept = self._kept, None
        was = self.table.chosen or self._chosen
        first = self.table.model.rows[0].key if self.table.model.rows else None
        for key in (wanted, kept, was.key if was is not None else None, first):
            if key is not None and self._choose(key):
                break
        else:
            self._on_row_chosen(None)
        if wanted is not None and (self._chosen is None or self._chosen.key != wanted):
            self._presenter.open_off_sheet(wanted)

    def _close(self) -> None:
        panel, self.panel = self.panel, None
        if panel is not None:
            panel.lay_down()
            panel.deleteLater()

    def _on_width(self, wide: bool) -> None:
        self.lanes.set_wide(wide)
        self.table.set_row_px(ROW_PX + 4 if wide else LOW_ROW_PX)
        self.table.set_columns(columns(wide=wide))
