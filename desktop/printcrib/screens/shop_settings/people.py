"""The section "People and PINs"."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from printcrib.core.people import Person, Role
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.shop_settings.entries import ChoiceEntry, Entry, TextEntry, TicksEntry
from printcrib.screens.shop_settings.pin_panel import NewPinPanel
from printcrib.screens.shop_settings.presenter import SettingsPresenter
from printcrib.screens.shop_settings.record_panel import RecordPanel
from printcrib.screens.shop_settings.section import Asker, ListSection
from printcrib.services.look_at_settings import PersonLine, SettingsPage

_ROLES = [(role.value, role.value.capitalize()) for role in Role]
_HERE = [("yes", "Works here"), ("no", "Left, switched off")]


def people_model() -> RecordModel[PersonLine]:
    """Everybody, by name; who left stands there too."""
    return RecordModel(
        [
            Column("Person", 0, _name, sort_key=lambda line: line.name.casefold()),
            Column("Roles", 330, lambda line: Cell(line.roles, wrap=True), sort_key=lambda line: line.roles),
            Column("PIN", 130, lambda line: Cell("has a PIN" if line.has_pin else "none")),
        ],
        key=lambda line: line.person.id,
    )


def _name(line: PersonLine) -> Cell:
    second = "switched off" if not line.active else f"badge {line.badge}" if line.badge else ""
    return Cell(line.name, second, strong=line.active, tone="ink" if line.active else "second")


class PersonPanel(RecordPanel):
    """Somebody new, or somebody to change."""

    def __init__(self, person: Person, draft: Mapping[str, Any]) -> None:
        rows: list[list[Entry]] = [
            [
                TextEntry("name", "Name", example="Ann Lee", needed="Type a name."),
                TextEntry("badge", "Badge", hint="What a scan of it gives; may stay empty."),
            ],
            [
                TicksEntry(
                    "roles",
                    "What this person does at the print desk",
                    _ROLES,
                    hint="The lead may do all the desk does. One lead stays.",
                    needed="Choose at least one role.",
                )
            ],
        ]
        if person.id:
            hint = "Nobody is deleted: what somebody did stays in the books."
            rows.append([ChoiceEntry("active", "Here", _HERE, hint=hint)])
        super().__init__(
            f"Change {person.name}" if person.id else "A new person",
            person,
            rows,
            spread=self._spread_person,
            gather=_gather,
            draft=draft,
        )

    def _spread_person(self, person: Person) -> dict[str, Any]:
        values = {
            "name": person.name,
            "badge": person.badge,
            "roles": tuple(role.value for role in Role if role in person.roles),
            "active": "yes" if person.active else "no",
        }
        return {name: value for name, value in values.items() if name in self.entries}


def _gather(person: Person, values: dict[str, Any]) -> Person:
    told = {**values, "roles": tuple(Role(role) for role in values["roles"])}
    if "active" in told:
        told["active"] = told["active"] == "yes"
    return replace(person, **told)


class PeopleSection(ListSection[PersonLine]):
    """Who works here, what each does, and who has a PIN."""

    id = "people"
    words = "People and PINs"
    main_words = "Add a person"

    def __init__(self, presenter: SettingsPresenter, asker: Asker) -> None:
        super().__init__(
            presenter,
            asker,
            people_model(),
            [
                ("change", "Change", "pencil", lambda line: self._ask(line.person)),
                ("pin", "Set the PIN", "person", self._ask_pin),
                ("no_pin", "Take the PIN away", "erase", lambda line: presenter.set_pin(line.person, "")),
            ],
            empty='Nobody yet. Press "Add a person".',
        )

    def show_settings(self, page: SettingsPage) -> None:
        super().show_settings(page)
        self.set_rows(sorted(page.people, key=lambda line: (not line.active, line.name.casefold())))

    def summary(self) -> str:
        if self.page is None:
            return ""
        here = sum(line.active for line in self.page.people)
        return "1 person" if here == 1 else f"{here} people"

    def sentence(self) -> str:
        if self.page is None:
            return ""
        pins = sum(line.active and line.has_pin for line in self.page.people)
        return f"{self.summary()}, {pins} with a PIN. Every press is signed by whoever stands here."

    def do_main(self) -> None:
        self._ask(Person(name=""))

    def _on_chosen(self) -> None:
        super()._on_chosen()
        row = self.table.chosen
        self.acts["no_pin"].setEnabled(row is not None and row.has_pin)

    def _ask(self, person: Person) -> None:
        def make(draft: Mapping[str, Any]) -> RecordPanel:
            panel = PersonPanel(person, draft)
            panel.told.connect(self.presenter.keep_person)
            return panel

        self.asker.ask_record(f"person {person.id}", make)

    def _ask_pin(self, line: PersonLine) -> None:
        panel = NewPinPanel(line.name)
        panel.told.connect(lambda pin: self.presenter.set_pin(line.person, pin))
        self.asker.ask(panel)
