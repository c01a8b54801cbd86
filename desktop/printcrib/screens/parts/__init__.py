"""Painted parts and controls all nine places are built from. How to use them:

A place is a `page.PageFrame` subclass in screens/<place>/screen.py:

    class SpoolRack(PageFrame):
        def __init__(self, ...):
            super().__init__("Spool rack", "17 spools.",
                             main=Action("weigh", "Weigh a spool", self._weigh, icon="weigh", shortcut="Ctrl+W"),
                             others=[...])
            self.table = RecordTable(RecordModel(columns, key=lambda s: s.id, search_text=lambda s: s.words),
                                     says="spools", row_px=BAR_ROW_PX)
            self.body.addLayout(row_of(self.table, card, stretch=(3, 1)))
        def arrived(self): ...            # came to the front
        def refresh(self, things): ...    # frozenset of kinds of record that changed
        def kept_state(self): ...         # {"chosen": "118"}; restore_state(state) gets it back
    signal width_changed(wide): lay out anew; `self.wide`; narrow is 1280 x 720, wide from 1600 px.

tokens     current_tokens() -> Tokens (paper, sheet, ink, ink2, accent, signal ...); sizes (CONTROL_PX, GAP_PX ...)
lettering  font(points, weight), metrics(points, weight); TEXT_PT 16, CELL_PT 18, CARD_PT 20 ... ; nothing under 16
words      Words(text, points=, weight="regular|medium|strong", tone="ink|second|accent|signal", wrap=, elide=)
buttons    Button(words, kind="main|other|count|choice|hold|bare", icon=, says=); clicked; set_words, set_icon
actions    Action(id, words, call, icon, shortcut, enabled_when); PageFrame.refresh_actions() asks again
page       PageFrame; row_of(*widgets, stretch=), column_of(*widgets)
cards      Card(padding=, title=, strong=, ground=) with .body/.add; Hairline; FactRow(name, value); Scroll; emptied(layout)
fields     Field(label, control, hint) with set_error; TextField; NotesField; ChoiceRow(chosen_changed); TickList(ticks_changed)
numbers    Stepper(value, least=, most=, step=, unit=, says=) value_changed(int); KeypadPanel(title, unit) entered(Decimal)
ask        AskPanel(title, confirm=, sentence=, stays=) with .body, confirmed, backed, open_over(page), lay_down, set_error
pick       PickPanel(title, picks, confirm=) picked(str); PickField(says=, picks=) picked_changed(str)
marks      NozzleMark("0.6"), SpoolChip("#333333"), IconMark("clock"); paint_nozzle, paint_chip
bars       MaterialBar, TimeBar, LifeBar, EstimateBar (frozen); BarView(bar).set_bar
records    Cell, Column(heading, width, cell, sort_key, right), RecordModel(columns, key, search_text=)
record_table  RecordTable(model, says=, row_px=, empty=) chosen, choose(key), chosen_changed, opened, set_records, search
charts     ColumnsChart, ParetoChart, StepDownChart fed by frozen records
time_line  TimeLine(fed by time_line_data.LaneData, RunBlock, NeededBy, SetUp, Closed) run_chosen(int)
model_view ModelView: turn with mouse, keys, buttons; set_model(vertices, faces)
picture    PictureView: a photo or a report page, fitted
icons      ICONS: our name -> icon

Rules: no modal boxes (AskPanel instead), one main button a page, text from 16 pt, colour never alone,
every bar has its number beside it, every control has words or an accessible name.
"""
