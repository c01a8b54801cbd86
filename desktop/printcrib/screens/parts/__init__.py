"""Painted parts and controls that all nine places are built from.

A place is a `page.PageFrame` subclass in screens/<place>/screen.py:

    class SpoolRack(PageFrame):
        def __init__(self, ...) -> None:
            super().__init__(
                "Spool rack", "17 spools.",
                main=Action("weigh", "Weigh a spool", self._weigh, icon="weigh", shortcut="Ctrl+W"),
                others=[...],  # 76 px high in the header, left of the main one
                unseen=[...],  # a shortcut, or a button elsewhere: self.actions_table.button("id")
            )
            model = RecordModel(columns, key=lambda s: s.id, search_text=lambda s: s.words)
            self.table = RecordTable(model, says="spools", row_px=BAR_ROW_PX)
            self.body.addLayout(row_of(self.table, card, stretch=(3, 1)))
        def arrived(self) -> None: ...             # came to the front
        def refresh(self, things) -> None: ...     # frozenset of kinds of record that changed
        def kept_state(self) -> Mapping[str, str]: ...   # over a restart; restore_state(state) gets it
    Signal width_changed(wide), property `wide`: 1280 x 720 is narrow, wide from 1600 px of the window.
    set_title, set_subtitle, refresh_actions(), main_button, other_buttons[id], stand_over, standing_over.

Modules:
    tokens: current_tokens() (paper, sheet, ink, ink2, accent, signal ...); CONTROL_PX, GAP_PX, FAR_GAP_PX ...
    lettering: font(points, weight), metrics(points, weight); TEXT_PT 16 is the least, CELL_PT, CARD_PT ...
    words: Words(text, points=, weight="regular|medium|strong", tone="ink|second|accent|signal",
        wrap=, elide=); set_tone, set_type.
    pressed: Pressed, the ground of everything painted that is pressed (ring, Enter).
    buttons: Button(words, kind="main|other|count|choice|hold|bare", icon=, says=); clicked;
        set_words, set_icon, set_points.
    actions: Action(id, words, call, icon=, shortcut=, enabled_when=).
    page: PageFrame; row_of(*widgets, spacing=, stretch=); column_of(*widgets, spacing=).
    steps: StepsFrame(title, [Step(words, widget, stretch, may_go_on)], finish=Action, foot=): side by side
        when wide, one after the other when narrow; go_on, go_back, step -> step_changed(int).
    cards: Card(padding=, title=, strong=, ground="sheet|tint|signal", spacing=) with body, add, set_title,
        set_ground; Hairline(upright=); FactRow(name, value, tone) with set_value; Scroll(margins, spacing);
        emptied(layout) to fill a layout anew.
    fields: Field(label, control, hint) with set_error, set_hint; TextField(text, says=, example=, secret=);
        NotesField; ChoiceRow([(id, words)], chosen=, columns=, says=, may_clear=) -> chosen_changed(str);
        TickList([(id, words)], columns=, holding=, none_words=) -> ticks_changed(), ticked, answered.
    numbers: Stepper(value, least=, most=, step=, unit=, says=, shown=) -> value_changed(int);
        Keypad(unit, decimals=); KeypadPanel(title, unit, decimals=, confirm=) -> entered(Decimal).
    ask: AskPanel(title, confirm=, sentence=, back=, icon=, width=, stays=) with body, open_over(page or
        any widget on it), lay_down, set_error -> confirmed(), backed(). Never a modal box.
    pick: PickPanel(title, [Pick(id, words, second, chip)], confirm=) -> picked(str);
        PickField(says=, picks=, chosen=, nothing=) -> picked_changed(str).
    marks: NozzleMark("0.6"), SpoolChip("#333333", height), IconMark("clock", tone).
    bars: MaterialBar, TimeBar, LifeBar, EstimateBar (frozen); BarView(bar).set_bar(bar).
    records: Cell, Column(heading, width, cell, sort_key=, right=), RecordModel(columns, key, search_text=).
    record_table: RecordTable(model, says=, row_px=, empty=): chosen, choose(key), set_records, search,
        set_columns -> chosen_changed(object), opened(object).
    charts: ColumnsChart.set_columns(labels, [Series]); ParetoChart(says, headings).set_causes([Cause]);
        StepDownChart.set_data(StepDown).
    time_line: TimeLinePanel(data) with line, tools, set_data; TimeLine: choose(key), zoom, move_view,
        show_now -> run_chosen(int), run_opened(int). Its data: time_line_data.
    legend: Legend(RUN_SIGNS or SPOOL_SIGNS).
    model_view: ModelPanel().view.set_model(vertices, faces, "60 mm"); clear(words).
    picture: PictureView(says, empty=, frame=).set_picture(png or jpeg bytes).
    icons: ICONS, our name -> icon; icon_pixmap.

Rules: no modal boxes, one main button a page, text from 16 pt, colour never alone, the number beside
every bar, and every control has words or an accessible name. tests/screens/checks.py tests all that:
`assert faults_of(page) == []` at 1280 x 720 and 1920 x 1080.
"""
