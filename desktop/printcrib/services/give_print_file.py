"""Give a run the print file it is printed from: its own minutes and grams then stand for the estimate."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta

from printcrib.core.errors import ShopError
from printcrib.core.estimating.file_doubts import Expected, doubts_of
from printcrib.core.estimating.moves import CHOOSE, PrintFile
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.materials import Source
from printcrib.core.requests import CopyState
from printcrib.core.running import standing_mm
from printcrib.core.runs import Run, RunState
from printcrib.core.units import duration_words, grams_words, mg_from_grams
from printcrib.services.estimate_run import model_of
from printcrib.services.estimate_task import in_process, material_for, settings_for
from printcrib.services.interfaces import Done, Shop, UnitOfWork
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press
from printcrib.services.read_print_file import read_print_file
from printcrib.services.read_runs import copies_on

KIND = "nc"


@dataclass(frozen=True, kw_only=True)
class RunFile:
    """A print file that was read for a run and kept; nothing is booked yet.

    Attributes:
        words: what it says, in a line.
        doubts: sentences on what does not fit the run, or the printer.
    """

    name: str
    sha256: str
    minutes: float
    mg: int
    words: str
    doubts: tuple[str, ...] = ()


def read_for_run(
    shop: Shop,
    run_id: int,
    content: bytes,
    name: str,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> RunFile:
    """Read a print file for a run, in the shop's worker process where there is one, and keep it.

    Args:
        content: the file as given.
        name: of the file, for sentences.
        progress: told the part done, 0 to 1.
        cancelled: asked often.

    Raises:
        ShopError: it cannot be read, pushes no filament, or was cancelled.
    """
    with shop.read() as uow:
        run = uow.runs.get(run_id)
        settings, expected = _settings(uow, run), _expected(uow, run)
    if shop.worker is None:
        found = read_print_file(content, name, settings, progress, cancelled)
    else:
        asked = (read_print_file, content, name, settings)
        found = in_process(shop.worker, *asked, progress=progress, cancelled=cancelled)
    if found.grams <= 0:
        raise ShopError(f"{name} pushes no filament", CHOOSE)
    return RunFile(
        name=name,
        sha256=shop.files.put(content, KIND),
        minutes=round(found.minutes, 3),
        mg=mg_from_grams(found.grams),
        words=_words(found),
        doubts=(*doubts_of(found, expected), *found.notes),
    )


def give_print_file(shop: Shop, press: Press, run_id: int, file: RunFile) -> Done[Run]:
    """A run on a printer takes the minutes and grams of its print file; the plan goes by them.

    Raises:
        ShopError: the run has not begun, or is over. A run to come takes its file when it is started.
    """
    with shop.write(press, "give print file") as uow:
        run = uow.runs.get(run_id)
        if run.state is not RunState.STARTED or run.started_at is None:
            raise ShopError(f"Run {run.number} is {run.state}", "Give it the file when it is started.")
        run = replace(
            run,
            print_file_sha=file.sha256,
            file_minutes=file.minutes,
            file_minutes_source=Source.FILE,
            file_mg=file.mg,
            file_mg_source=Source.FILE,
            planned_end=run.started_at + timedelta(minutes=file.minutes),
        )
        run = uow.runs.save(run)
        uow.commit()
        done = Done(run, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def _settings(uow: UnitOfWork, run: Run) -> PrintSettings:
    material = material_for(uow, None) if run.material_id is None else uow.materials.get(run.material_id)
    return settings_for(uow, uow.printers.get(run.printer_id), run.bore_um, material)


def _expected(uow: UnitOfWork, run: Run) -> Expected:
    heights = [0.0]
    for copy in copies_on(uow, run.id, CopyState.ON_RUN, CopyState.PRINTING):
        model_id = model_of(uow, copy)
        if model_id is not None:
            model = uow.models.get(model_id)
            heights.append(standing_mm(model.extents_mm, model.turn)[2])
    return Expected(run.estimated_minutes, run.estimated_mg, max(heights), run.bore_um)


def _words(found: PrintFile) -> str:
    layers = "1 layer" if found.layers == 1 else f"{found.layers} layers"
    minutes, grams = duration_words(round(found.minutes)), grams_words(mg_from_grams(found.grams))
    return f"{minutes}, {grams}, {layers}, {found.height_mm:.1f} mm high"
