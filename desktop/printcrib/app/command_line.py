"""The command line: the window, the demo shop, and what scripts ask."""

from pathlib import Path
from typing import Annotated, Optional

import typer

from printcrib.app.commands.answering import REFUSED, refuse
from printcrib.app.start import do_without_a_screen, open_the_window
from printcrib.core.errors import ShopError
from printcrib.core.patterns import Fineness

app = typer.Typer(
    help="Printcrib, the print desk of a CNC machine shop. Without a command it opens the window.",
    add_completion=False,
    pretty_exceptions_enable=False,
    no_args_is_help=False,
    rich_markup_mode=None,
)

ShopOption = Annotated[
    Optional[str],  # noqa: UP045 - typer reads it at run time
    typer.Option("--shop", help="The shop's folder, or the address of its database."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]


@app.callback(invoke_without_command=True)
def window(context: typer.Context, shop: ShopOption = None) -> None:
    """Open the window, on the shop this PC opened last."""
    context.obj = shop
    if context.invoked_subcommand is None:
        raise typer.Exit(open_the_window(shop))


@app.command()
def demo(
    folder: Annotated[Path, typer.Argument(help="Where the demo shop and its paper go.")],
    as_json: JsonOption = False,
    pictures: Annotated[bool, typer.Option(help="Also take pictures of every place.")] = True,
) -> None:
    """Tell the whole job once, on a shop of our own invention, step by step."""
    from printcrib.app.commands.demo import run_demo

    raise typer.Exit(run_demo(folder, as_json, pictures))


@app.command()
def estimate(
    context: typer.Context,
    models: Annotated[
        Optional[list[Path]],  # noqa: UP045 - typer reads it at run time
        typer.Argument(help="STL, 3MF, OBJ or STEP files."),
    ] = None,
    fine: Annotated[Fineness, typer.Option(help="How fine it is asked.")] = Fineness.NORMAL,
    nozzle: Annotated[
        Optional[list[str]],  # noqa: UP045
        typer.Option(help="Only this bore in mm; may be given several times."),
    ] = None,
    material: Annotated[Optional[str], typer.Option(help="A material by its name.")] = None,  # noqa: UP045
    fill: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option(help="Inside filled, 0 to 1 or percent."),
    ] = None,
    walls: Annotated[Optional[int], typer.Option(help="Lines along an outline.")] = None,  # noqa: UP045
    support: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option(help="on or off: supports under what hangs over."),
    ] = None,
    tier: Annotated[int, typer.Option(help="1: at once, from the layers; 2: by paths.")] = 1,
    settings: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option(help="JSON file of settings; default prints those of the nozzle and material whole."),
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Minutes, grams and cost of one copy of each file, per nozzle."""
    from printcrib.app.commands import estimate as command

    options = command.Options(nozzle or (), material, settings, fill, walls, support, tier)
    if settings == command.TYPICAL:
        raise typer.Exit(command.print_settings(options))
    if not models:
        raise typer.BadParameter("Name a model file.")
    raise typer.Exit(command.estimate(models, fine, shop or context.obj, as_json, options))


@app.command()
def moves(
    context: typer.Context,
    file: Annotated[
        Optional[Path],  # noqa: UP045 - typer reads it at run time
        typer.Argument(help="The print file that goes to the printer."),
    ] = None,
    printer: Annotated[Optional[str], typer.Option(help="A printer of the shop by its name.")] = None,  # noqa: UP045
    nozzle: Annotated[Optional[str], typer.Option(help="Bore in mm.")] = None,  # noqa: UP045
    material: Annotated[Optional[str], typer.Option(help="A material by its name.")] = None,  # noqa: UP045
    settings: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option(help="JSON file of settings; default prints those of the nozzle and material whole."),
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Minutes, grams, metres and layers of a print file, by its own moves."""
    from printcrib.app.commands import estimate
    from printcrib.app.commands import moves as command

    options = estimate.Options((nozzle,) if nozzle else (), material, settings)
    if settings == estimate.TYPICAL:
        raise typer.Exit(estimate.print_settings(options))
    if file is None:
        raise typer.BadParameter("Name a print file.")
    raise typer.Exit(command.moves(file, printer, shop or context.obj, as_json, options))


@app.command()
def runs(
    context: typer.Context,
    problem: Annotated[
        Optional[Path],  # noqa: UP045 - typer reads it at run time
        typer.Option(help="Plan the problem in this JSON file instead of a shop's."),
    ] = None,
    method: Annotated[str, typer.Option(help="first-come, due-date or dispatch.")] = "dispatch",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """The run sheet: which copies together, on which printer and nozzle, from when to when."""
    from printcrib.app.commands.runs import runs_of_problem, runs_of_shop

    code = (
        runs_of_problem(problem, method, as_json)
        if problem is not None
        else runs_of_shop(shop or context.obj, as_json)
    )
    raise typer.Exit(code)


@app.command()
def life(
    file: Annotated[Path, typer.Argument(help="CSV: count, failed 0 or 1; also entry, last_good, weight.")],
    expected: Annotated[
        Optional[float],  # noqa: UP045 - typer reads it at run time
        typer.Option(help="The count half of these aids are expected to reach."),
    ] = None,
    worth: Annotated[float, typer.Option(help="How many failures that guess is worth.")] = 0.6,
    at: Annotated[
        Optional[float],  # noqa: UP045
        typer.Option(help="Also how surely a new one reaches this count."),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """How long aids of one kind last, from counts of use, most of them still in use."""
    from printcrib.app.commands.life import life as work

    raise typer.Exit(work(file, expected, worth, at, as_json))


@app.command()
def week(
    context: typer.Context,
    iso_week: Annotated[str, typer.Argument(help="For example 2026-W48; the present one if left out.")] = "",
    output: Annotated[
        Optional[Path],  # noqa: UP045 - typer reads it at run time
        typer.Option("--output", "-o", help="Where the PDF goes."),
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """The weekly usage report, as a PDF and in figures."""
    from printcrib.app.commands.week import week as work

    raise typer.Exit(work(iso_week, output, shop or context.obj, as_json))


@app.command()
def check(context: typer.Context, shop: ShopOption = None, as_json: JsonOption = False) -> None:
    """Look over the books: file, keys, hash chain, ledgers, attachments. Exit 1 on a fault."""
    from printcrib.app.commands.check import check as work

    raise typer.Exit(work(shop or context.obj, as_json))


def main(arguments: list[str] | None = None) -> int:
    """Run the command line and give its exit code; a refusal is one sentence on stderr."""
    do_without_a_screen()
    try:
        result = app(args=arguments, standalone_mode=False)
    except ShopError as error:
        refuse(error)
        return REFUSED
    except typer.Abort:
        return REFUSED
    except Exception as error:
        if hasattr(error, "format_message") and hasattr(error, "exit_code"):
            refuse(str(error.format_message()))
            return int(error.exit_code)
        raise
    return result if isinstance(result, int) else 0
