"""A job for other programs: whole, valid by its schema and by the standards, the same every time."""

import codecs
import csv
import io
import json
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import jsonschema_rs
import networkx as nx
import pytest
from icalendar import Calendar
from markdown_it import MarkdownIt

from sequencer.document.clean import clean
from sequencer.document.evenings.sittings import stop_words
from sequencer.document.lists.tools import tools_needed
from sequencer.document.plans.both_ways import PaperJob
from sequencer.errors import SequencerError
from sequencer.graph.operations import bench_lists
from sequencer.graph.said import sentence
from sequencer.plan.closing.supplies import renewals
from sequencer.quantities import AngleQuantity, TorqueQuantity, parse_torque
from sequencer.render.export.as_data import job_json, job_schema
from sequencer.render.export.as_graph import job_graphml
from sequencer.render.export.as_text import job_csv, job_markdown
from sequencer.render.export.calendar import calendar, starts_from
from sequencer.render.export.cancelled import with_cancelled
from sequencer.render.rows import csv_file
from tests.support.profile import before_landing
from tests.views.paper_jobs import NAMES, flat, odd, price, pump, van, van_in_sittings
from tests.views.test_lists import with_toolbox

JOBS = {
    "van": van,
    "van in sittings": van_in_sittings,
    "pump": lambda: pump(20),
    "pump and toolbox": lambda: with_toolbox(pump(20)),
    "no way back": lambda: PaperJob(pump().into, None, pump().on),
}


@pytest.mark.parametrize("name", JOBS)
def test_the_json_is_valid_by_its_schema(name):
    data = json.loads(json.dumps(job_json(JOBS[name]())))
    jsonschema_rs.meta.validate(job_schema())
    jsonschema_rs.Draft202012Validator(job_schema()).validate(data)


@before_landing
@pytest.mark.parametrize("which", NAMES)
def test_the_json_keeps_names_to_the_letter_and_is_valid(which):
    data = json.loads(json.dumps(job_json(odd(which)), ensure_ascii=False))
    jsonschema_rs.Draft202012Validator(job_schema()).validate(data)
    assert data["teardown"]["machine"] == NAMES[which]


@before_landing
def test_the_schema_knows_every_key_that_is_written():
    """A schema that forbids all other keys is still met: nothing is written that it does not describe."""
    strict = json.loads(json.dumps(job_schema()))

    def close(part):
        if isinstance(part, dict):
            if "properties" in part and "additionalProperties" not in part:
                part["additionalProperties"] = False
            for value in part.values():
                close(value)

    close(strict)
    for name in ("van in sittings", "pump", "pump and toolbox"):
        jsonschema_rs.Draft202012Validator(strict).validate(json.loads(json.dumps(job_json(JOBS[name]()))))


def test_a_wrong_version_is_not_valid():
    data = job_json(pump()) | {"version": 2}
    with pytest.raises(jsonschema_rs.ValidationError):
        jsonschema_rs.Draft202012Validator(job_schema()).validate(data)


def test_every_step_is_in_the_json_and_the_csv():
    job = van_in_sittings()
    rows = list(csv.DictReader(io.StringIO(job_csv(job))))
    steps = [("in", s) for s in job.into.steps] + [("back", s) for s in job.back.steps]
    assert [(row["way"], int(row["number"]), row["operation"]) for row in rows] == [
        (way, step.number, step.operation.name) for way, step in steps
    ]
    assert {row["sitting"] for row in rows} == {str(number) for number, _, _ in job.sittings}
    assert sum(float(row["seconds"]) + float(row["change_seconds"]) for row in rows) == pytest.approx(
        float(job.into.totals.seconds + job.back.totals.seconds), rel=1e-4
    )
    assert sum(bool(row["gate"]) for row in rows) == len(job.back.gates)


@pytest.mark.parametrize("which", NAMES)
def test_the_csv_has_as_many_cells_in_every_row(which):
    rows = list(csv.reader(io.StringIO(job_csv(odd(which)))))
    assert {len(row) for row in rows} == {21}
    assert not any(cell[:1] in tuple("=+@") for row in rows for cell in row)


def test_the_numbers_of_the_csv_stand_alone_in_their_columns():
    job = van()
    rows = list(csv.DictReader(io.StringIO(job_csv(job))))
    for column in ("seconds", "change_seconds", "count", "torque", "angle"):
        assert all(float(row[column]) >= 0 for row in rows if row[column])
    joints = {gate.step: job.machine.joint(*gate.joint.split("/", 1)) for gate in job.back.gates}
    gates = [row for row in rows if row["torque"]]
    assert {int(row["number"]) for row in gates} == set(joints)
    for row in gates:
        joint = joints[int(row["number"])]
        last = [stage for stage in joint.torque.stages if isinstance(stage, TorqueQuantity)][-1]
        assert parse_torque(f"{row['torque']} {row['unit']}") == parse_torque(last.text)
        turned = sum(stage.degrees for stage in joint.torque.stages if isinstance(stage, AngleQuantity))
        assert float(row["angle"] or 0) == turned
        assert int(row["count"]) == joint.count
    codes = {(row["way"], row["station"]) for row in rows}
    assert len(codes) == len(job.into.stations) + len(job.back.stations)


def test_a_file_for_a_spreadsheet_is_marked_where_its_letters_need_it():
    assert csv_file("a,b\r\n") == b"a,b\r\n"
    written = csv_file(job_csv(odd("hebrew")))
    assert written.startswith(codecs.BOM_UTF8)
    rows = list(csv.DictReader(io.StringIO(written.decode("utf-8-sig"))))
    assert any(NAMES["hebrew"] in row["says"] for row in rows)


@before_landing
@pytest.mark.parametrize("make", [van_in_sittings, lambda: odd("hebrew"), lambda: odd("formula")])
def test_a_table_reader_has_numbers_in_the_columns_of_numbers_and_loses_nothing(make):
    pandas = pytest.importorskip("pandas")
    text = job_csv(make())
    table = pandas.read_csv(io.BytesIO(csv_file(text)))
    for column in ("number", "seconds", "change_seconds", "count", "torque", "angle"):
        assert pandas.api.types.is_numeric_dtype(table[column]), column
    written = list(csv.DictReader(io.StringIO(text)))
    assert list(table) == list(written[0])
    as_text = pandas.read_csv(io.BytesIO(csv_file(text)), dtype=str, keep_default_na=False)
    assert as_text.to_dict("records") == written


@pytest.mark.parametrize("make", [pump, lambda: odd("markup"), lambda: odd("arabic"), van])
def test_the_graphml_has_every_operation_and_arc_with_its_reason(make):
    job = make()
    read = nx.parse_graphml(job_graphml(job).decode())
    graph = job.into.graph.to_networkx()
    assert (len(read), read.number_of_edges()) == (len(graph), graph.number_of_edges())
    for step in job.into.steps:
        node = read.nodes[step.operation.name]
        assert (node["step"], node["kind"]) == (step.number, step.operation.kind.value)
        assert node["seconds"] == float(step.operation.seconds)
        assert node["words"] == clean(sentence(job.machine, step.operation))
    for before, after, data in graph.edges(data=True):
        if isinstance(before, str) and isinstance(after, str):
            told, why = read.edges[before, after]["reason"], data["reason"]
            assert told == clean(f"{why.text} ({Path(why.place.file).name}:{why.place.line})")


def rendered(markdown):
    """The words that a reader of the Markdown sees."""
    html = MarkdownIt("commonmark").enable("table").render(markdown)
    from html import unescape

    return unescape(re.sub(r"<[^>]+>", "", html)), html


@pytest.mark.parametrize("which", ["markup", "long", "words", "formula", "hebrew", "emoji"])
def test_markdown_shows_names_as_they_are(which):
    words, html = rendered(job_markdown(odd(which)))
    assert flat(words.replace("\u200e", "")).count(flat(NAMES[which])) >= 8
    assert "<b>x</b>" not in html
    assert "<em>i</em>" not in html


def test_markdown_has_every_step_with_a_box_to_tick_and_every_gate():
    text = job_markdown(van())
    benches = sum(map(len, bench_lists(van().machine, (op.name for op in van().back.operations)).values()))
    assert text.count("\n- [ ] ") == len(van().into.steps) + len(van().back.steps) + benches
    assert text.count("**GATE ") == len(van().back.gates)
    assert price() in text


START = datetime(2026, 12, 5, 9)


def events(job, *starts):
    return Calendar.from_ical(calendar(job, starts or (START,))).walk("VEVENT")


def test_every_sitting_is_an_event_a_day_after_the_one_before():
    job = van_in_sittings()
    found = [event for event in events(job) if "Sitting" in str(event["summary"])]
    assert len(found) == len(job.sittings)
    for place, (event, (_, _, sitting)) in enumerate(zip(found, job.sittings, strict=True)):
        assert event.decoded("dtstart") == START + timedelta(days=place)
        took = event.decoded("dtend") - event.decoded("dtstart")
        assert 0 <= took.total_seconds() - sitting.hours.likely < 60


def test_sittings_begin_when_they_are_told_to():
    later = datetime(2026, 12, 9, 18, tzinfo=UTC)
    found = events(van_in_sittings(), START, later)
    assert [event.decoded("dtstart") for event in found[:3]] == [START, later, later + timedelta(days=1)]


def by_uid(text):
    return {str(event["uid"]): event for event in Calendar.from_ical(text).walk("VEVENT")}


def test_uids_are_stable_and_differ():
    first, again = ([str(event["uid"]) for event in events(van_in_sittings())] for _ in range(2))
    moved = [str(event["uid"]) for event in events(van_in_sittings(), datetime(2027, 1, 1, 8))]
    assert first == again == moved
    assert len(set(first)) == len(first)


def test_exported_again_the_same_day_an_event_is_the_same_one_and_newer():
    """RFC 5545: UID stays (3.8.4.7), DTSTAMP is that of this revision (3.8.7.2), SEQUENCE grows (3.8.7.4)."""
    job, morning = pump(20), datetime(2026, 12, 5, 7, tzinfo=UTC)
    first, again = (
        Calendar.from_ical(calendar(replace(job, at=at), [START])).walk("VEVENT")
        for at in (morning, morning + timedelta(minutes=3))
    )
    for old, new in zip(first, again, strict=True):
        assert old["uid"] == new["uid"]
        assert new["sequence"] == old["sequence"] + 180
        assert new.decoded("dtstamp") - old.decoded("dtstamp") == timedelta(minutes=3)


def test_what_is_no_longer_in_the_file_is_cancelled_and_stays_so():
    """RFC 5545: STATUS (3.8.1.11), under the same UID, SEQUENCE grown (3.8.7.4)."""
    morning = datetime(2026, 12, 5, 7, tzinfo=UTC)
    first = calendar(replace(pump(20), at=morning), [START])
    again = calendar(replace(pump(), at=morning + timedelta(minutes=3)), [START])
    written, gone = with_cancelled(again, first)
    old, new = by_uid(first), by_uid(written)
    cancelled = {uid for uid, event in new.items() if event.get("status") == "CANCELLED"}
    assert cancelled == old.keys() - by_uid(again).keys()
    assert len(cancelled) == gone > 0
    for uid in cancelled:
        assert new[uid]["sequence"] == old[uid]["sequence"] + 180
        assert new[uid]["dtstart"] == old[uid]["dtstart"]
    later = by_uid(with_cancelled(again, written)[0])
    assert {uid for uid, event in later.items() if "status" in event} == cancelled
    assert with_cancelled(again, b"no calendar") == (again, 0)
    assert with_cancelled(again, calendar(odd("words"), [START]))[1] == 0, "another job's stay as they are"


def test_the_calendar_is_the_same_on_the_same_day():
    assert calendar(pump(20), [START]) == calendar(pump(20), [START])


def test_an_event_says_what_to_have_ready_and_how_the_machine_is_left():
    job = van_in_sittings()
    text = " ".join(str(event["description"]) for event in events(job))
    assert any(f"have ready: {new.count} {new.item}" in text for _, new in renewals(job.into))
    assert all(line in text for _, plan, one in job.sittings for line in stop_words(plan, one))


def test_a_job_that_is_not_cut_has_an_event_for_each_way():
    cures, gates = len(pump().back.holds), len(due_again(pump()))
    assert len(events(pump())) == 2 + cures + gates


def due_again(job):
    torques = (job.machine.joint(*gate.joint.split("/")).torque for gate in job.back.gates)
    return [torque.again for torque in torques if torque.again]


def test_cures_and_gates_that_are_due_again_are_in_the_calendar():
    job = van_in_sittings()
    found = events(job)
    whole = [str(event["summary"]) for event in found]
    cures = [event for event in found if str(event["summary"]).endswith(" cures")]
    took = [event.decoded("dtend") - event.decoded("dtstart") for event in cures]
    assert [one.total_seconds() for one in took] == [float(hold.seconds) for hold in job.back.holds]
    assert sum("torque once more" in one for one in whole) == len(due_again(job))
    steps = {
        n: e
        for e, (_, plan, one) in zip(found, job.sittings, strict=False)
        if plan.back
        for n in range(one.first, one.last + 1)
    }
    for cure, hold in zip(cures, job.back.holds, strict=True):
        if hold.before_step and steps[hold.before_step] is not steps[hold.after_step]:
            assert steps[hold.before_step].decoded("dtstart") >= cure.decoded("dtend")


@pytest.mark.parametrize("which", NAMES)
def test_names_survive_in_the_calendar(which):
    assert any(NAMES[which] in str(event["summary"]) for event in events(odd(which)))


def test_a_calendar_without_a_start_and_a_start_that_is_none_are_refused():
    with pytest.raises(SequencerError, match="--start 2026-12-05T09:00"):
        calendar(pump(), [])
    with pytest.raises(SequencerError, match="no date and time"):
        starts_from(["tomorrow"])


def test_the_schema_says_what_must_be_there_and_explains_it():
    schema = job_schema()
    step, way_in = schema["$defs"]["WayInStepData"], schema["$defs"]["TeardownData"]
    assert {"number", "op", "position", "tool", "seconds", "change_seconds", "opens"} <= {*step["required"]}
    assert {"steps", "totals", "bound_seconds", "proven"} <= {*way_in["required"]}
    assert not {"fastener", "torque", "loosening"} & {*step["required"]}
    assert "`undo pulley/bolts`" in step["properties"]["op"]["description"]
    assert schema["properties"]["supplies"]["items"] == {"$ref": "#/$defs/SupplyData"}
    assert schema["$defs"]["SupplyData"]["properties"]["for"]["type"] == "array"


def test_tools_in_the_json_are_those_of_the_list():
    assert [tool["tool"] for tool in job_json(van())["tools"]] == [need.tool for need in tools_needed(van())]
