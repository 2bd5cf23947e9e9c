"""A job that begins with a wish alone, and a desk at it."""

from sequencer.graph.targets import parse_targets
from sequencer.job.changes.bare import bare_file
from sequencer.job.changes.begin import begin
from sequencer.job.desk import Desk
from sequencer.job.journal.events import EventKind
from sequencer.machine import read_text
from sequencer.plan.practice.rules import Practice
from sequencer.plan.teardown import plan_teardown
from tests.job.conftest import ANN


def bare_job(folder, *off, by=ANN, title="Head job"):
    file, wishes = bare_file(title, off or ("cylinder head",))
    machine = read_text(file.content.decode(), file.name).machine
    plan = plan_teardown(machine, parse_targets(machine, wishes), practice=Practice.ALL)
    return begin(folder, plan, file, by, title=title)


def desk_at(folder, *off, by=ANN):
    return Desk(bare_job(folder, *off, by=by), by)


def text_of(desk):
    return desk.folder.machine.read_text("utf-8")


def reading(desk):
    """The file by itself: it has to be clean at every moment."""
    return read_text(text_of(desk), "machine.yaml")


def told(desk):
    """The body of the last line that was told."""
    return desk.state().of(EventKind.DID)[-1].event.body


def order(desk):
    return [str(one) for one in desk.machine.taken_apart.order]


def held(desk):
    """All that a job is: the file, what is done in its order, bags, plan."""
    moment = desk.moment()
    bags = {path: bag.number for path, bag in moment.bags.items()}
    return text_of(desk), moment.state.done, bags, [op for _, op in moment.state.left], moment.notes
