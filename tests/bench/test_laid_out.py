"""What a screen shows: nothing off the page, no text too small, no control over another or over words."""

import json
from itertools import pairwise
from urllib.parse import quote

import pytest

from sequencer.job.desk import By
from sequencer.job.now.gates import gate_joint
from sequencer.plan.closing.readings import stages_of
from tests.bench.conftest import PUMP, Served, serving
from tests.bench.test_several_jobs import job as begun
from tests.bench.test_several_jobs import yard_of
from tests.support.profile import before_landing, counts
from tests.views.paper_jobs import NAMES

LAID_OUT = """
() => {
  const faults = [], boxes = [];
  const nav = document.querySelector('#always');
  const wide = document.documentElement.clientWidth;
  for (const one of document.querySelectorAll('main.at-a-gate details')) one.open = true;
  for (const one of document.querySelectorAll('body *')) {
    if (!one.checkVisibility() || one.closest('.sr, .skip, svg, .diagram, pre, select')) continue;
    const words = [...one.childNodes].filter(n => n.nodeType === 3 && n.textContent.trim());
    const control = one.matches('button, .button, input:not([type=hidden]), select, a.more');
    const say = `${one.tagName} ${(one.ariaLabel || one.textContent).trim().slice(0, 40)}`;
    if (words.length && parseFloat(getComputedStyle(one).fontSize) < 16) faults.push(`small: ${say}`);
    const found = control ? [one.getBoundingClientRect()] : words.flatMap(n => {
      const range = document.createRange(); range.selectNodeContents(n); return [...range.getClientRects()];
    });
    for (const r of found) {
      if (r.width < 1 || r.height < 1) continue;
      const cut = one.closest('.head, .what');  // on its side a line, cut with three dots
      if (!cut && (r.right > wide + 1 || r.left < -1)) faults.push(`beside the page: ${say}`);
      if (!nav?.contains(one)) boxes.push([r, one, say, control]);
    }
  }
  for (let i = 0; i < boxes.length; i++) for (let j = 0; j < i; j++) {
    const [a, one, said, ours] = boxes[i], [b, other, also, theirs] = boxes[j];
    if (!ours && !theirs || one.contains(other) || other.contains(one)) continue;
    if (a.left < b.right - 2 && b.left < a.right - 2 && a.top < b.bottom - 3 && b.top < a.bottom - 3)
      faults.push(`over each other: ${said} / ${also}`);
  }
  return faults;
}
"""

ODD = """
machine: NAME
positions: {here: {label: NAME, caution: NAME}}
parts:
  p:
    label: NAME
    note: NAME
    joints:
      j: {kind: bolt, head: 10, count: 4, label: NAME, torque: {stages: [4 N.m, 9 N.m], pattern: cross}}
      k: {kind: nut, head: 13, label: NAME, torque: {value: 20 N.m, prevailing: 2 N.m}}
      c: {kind: connector, label: NAME, count: 2}
  inner: {label: NAME, behind: [p], joints: {b: {kind: clip}}}
"""
MANY = "machine: Many\nparts:\n" + "".join(
    f"  p{n}: {{{f'behind: [p{n - 1}], ' if n else ''}joints: {{j: {{kind: clip, count: 2}}}}}}\n"
    for n in range(300)
)
MACHINES = {
    "pump": (None, ("seal",)),
    "one part": ("machine: One\nparts: {a: {joints: {j: {kind: clip}}}}", ("a",)),
    "300 parts": (MANY, ("p299",)),
} | {
    which: (ODD.replace("NAME", json.dumps(NAMES[which], ensure_ascii=False)), ("inner",))
    for which in ("long", "words", "hebrew", "chinese")
}
LOOKED_AT = counts(quick=(), landing=("pump", "one part", "long", "hebrew"), nightly=tuple(MACHINES))
SCREENS = {"upright": (360, 740), "on its side": (740, 360), "wide": (1280, 800)}


def gates_of(job):
    """The pages of the first gate of the way back that is read once, and of the first with several stages."""
    moment, shown = job.desk.moment(), {}
    for gate in job.desk.plan().gates:
        operation = f"torque {gate.joint}"
        shown.setdefault(len(stages_of(gate_joint(moment, operation))) > 1, f"/gate/{quote(operation)}")
    return list(shown.values())


@before_landing
@pytest.mark.parametrize("which", LOOKED_AT)
def test_nothing_on_a_screen_collides_is_too_small_or_off_the_page(which, device, tmp_path):
    text, off = MACHINES[which]
    (tmp_path / "m.yaml").write_text(text or PUMP.read_text(encoding="utf-8"), encoding="utf-8")
    with serving(tmp_path / "job", tmp_path / "m.yaml", off) as job:
        by = By("Ada", "test")
        phone = device(served=job)
        paths = {"in": ["/", "/overview", "/stop", f"/part/{off[0]}"], "back": ["/", "/overview", "/record"]}
        for way, shown in paths.items():
            if way == "back":
                job.desk.done([step.operation.name for step in job.desk.plan().steps], by=by)
                job.desk.turn(by=by)
                shown.extend(gates_of(job))
            for name, (width, height) in SCREENS.items():
                phone.page.set_viewport_size({"width": width, "height": height})
                for path in shown:
                    assert phone.open(path).evaluate(LAID_OUT) == [], (way, name, path)


@before_landing
def test_a_wide_screen_has_station_diagram_and_order_or_keypad_and_order_side_by_side(device, tmp_path):
    station = ".station:not([hidden]) > header"
    with serving(tmp_path / "job") as job:
        by = By("Ada", "test")
        job.desk.done([step.operation.name for step in job.desk.plan().steps], by=by)
        job.desk.turn(by=by)
        phone = device(served=job, viewport={"width": 1280, "height": 800})
        asked = []
        phone.page.on("request", lambda one: asked.append(one.url.removeprefix(job.url)))
        for width, path, shown in (
            (1000, "/", (station, ".station:not([hidden]) > .steps")),
            (1280, "/gate/torque%20cover/bolts", (".reading-form", ".order")),
            (1280, "/", (station, ".diagram svg", ".order-of-work .is-next")),
        ):
            phone.page.set_viewport_size({"width": width, "height": 800})
            page = phone.open(path)
            assert width > 1000 or "/beside" not in asked
            boxes = [page.locator(one).bounding_box() for one in shown]
            for one, other in pairwise(boxes):
                assert one["x"] + one["width"] <= other["x"] + 2
                assert max(one["y"], other["y"]) < page.locator("#always").bounding_box()["y"]
        focus = page.locator(".diagram").get_attribute("data-focus")
        assert "next" in page.locator(f"#{focus}").text_content()
        code = page.locator(".order-of-work .is-next b").inner_text()
        page.locator(".station:not([hidden]) .tick-all").tap()
        page.wait_for_function(
            "code => document.querySelector('.order-of-work .is-next b').innerText !== code", arg=code
        )
        assert page.locator(".diagram svg").is_visible()


@before_landing
def test_nor_does_anything_on_the_list_of_jobs_and_what_goes_with_it(device, tmp_path):
    folder = tmp_path / "yard"
    for which in ("long", "words", "hebrew", "chinese", "markup"):
        begun(folder / which, NAMES[which])
    (folder / "torn").mkdir()
    (folder / "torn" / "job.yaml").write_text("title: [", encoding="utf-8")
    with yard_of(folder) as yard:
        phone = device(served=Served(yard.where.url, folder, None, yard.sessions))
        invitation = f"/pair/{yard.sessions.invite()}"
        for name, (width, height) in SCREENS.items():
            phone.page.set_viewport_size({"width": width, "height": height})
            for path in ("/", "/devices", invitation):
                assert phone.open(path).evaluate(LAID_OUT) == [], (name, path)
