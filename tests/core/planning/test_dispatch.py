"""The dispatch rules where a spool runs short in mid-plan."""

from tests.core.planning.problems import problem, task

from printcrib.core.planning.decoder import decode
from printcrib.core.planning.dispatch import best_dispatch
from printcrib.core.planning.problem import PlanSpool


def test_no_copy_joins_a_run_its_spool_cannot_feed_any_more() -> None:
    shop = problem(
        task("1", {400: 50}, due=480, mg={400: 60_000}, alone=True),
        task("2", {400: 50}, due=700, mg={400: 30_000}),
        task("3", {400: 50}, due=720, mg={400: 30_000}),
        spools=(PlanSpool("S-1", "ASA grey", 100_000),),
    )
    timeline = decode(shop, best_dispatch(shop))
    assert [run.tasks for run in timeline.runs] == [("1",), ("2",)]
    assert [left.task for left in timeline.unplanned] == ["3"]
