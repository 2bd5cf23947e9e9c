"""What a file says of a tool and of a place to work is shown with the step: terminal, sheet, page, data."""

from io import StringIO

import pytest
from rich.console import Console

from sequencer.document.plans.plan import refit_document, teardown_document
from sequencer.render.data.plans.plan import refit_json, teardown_json
from sequencer.render.pictures.sketches import for_sheet
from sequencer.render.sheet.sheet import sheet_pdf
from sequencer.render.terminal import show
from tests.job.phone import Phone
from tests.job.through import begun
from tests.plan.jobs import machine_of
from tests.support.profile import before_landing
from tests.views.paper_jobs import flat, job, text_in

TEXT = """
machine: A bar, invented
positions:
  bench: {label: At the bench, caution: Mind the vice., note: The vice is oiled.}
tools:
  bar: {label: Long bar, caution: It springs back., note: {in: The bent one., back: Lay it flat.}}
parts:
  idler: {joints: {bolt: {kind: bolt, tool: bar, time: 5, torque: 20 N.m}}}
"""
IN = ("Mind the vice.", "The vice is oiled.", "It springs back.", "The bent one.")
BACK = ("Mind the vice.", "It springs back.", "Lay it flat.")


@pytest.fixture(scope="module")
def both():
    return job(machine_of(TEXT), "idler")


def test_the_terminal_shows_it(both):
    for document, said, other in (
        (teardown_document(both.into), IN, "Lay it flat."),
        (refit_document(both.back), BACK, "The bent one."),
    ):
        out = StringIO()
        show(document, Console(file=out, width=100))
        assert all(out.getvalue().count(text) == 1 for text in said), out.getvalue()
        assert other not in out.getvalue()


def test_the_data_have_it(both):
    for data, said in ((teardown_json(both.into), IN), (refit_json(both.back), BACK)):
        steps = data["steps"]
        told = [one["text"] for step in steps for one in step.get("cautions", ())]
        told += [text for step in steps for text in step.get("notes", ())]
        assert set(said) <= set(told)
        assert len(told) == len(set(told))


@before_landing
def test_the_sheet_has_it(both):
    text = text_in(sheet_pdf(both, for_sheet(both.into, ())))
    assert [one for one in {*IN, *BACK} if flat(one) not in text] == []


def test_the_page_has_it(tmp_path):
    with begun(tmp_path, TEXT, ["idler"]) as desk:
        first = desk.plan().steps[0].operation.name
        phone = Phone(desk.folder.path, tmp_path)
        page = phone.door.ask("GET", f"/step/{first.replace(' ', '%20').replace('/', '%2F')}").text
        phone.close()
    assert first == "undo idler/bolt"
    assert [one for one in IN if one not in page] == []
