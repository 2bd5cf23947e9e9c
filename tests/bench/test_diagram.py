"""The diagram in a real browser: it opens at what is next, in letters that can be read."""

import pytest

from tests.bench.conftest import PUMP, VAN, serving
from tests.support.profile import before_landing, counts

IN_VIEW = """() => {
  const box = document.querySelector(".diagram").getBoundingClientRect();
  return [...document.querySelectorAll(".diagram text")].filter(one => one.textContent.trim()).map(one => {
    const at = one.getBoundingClientRect();
    return {
      words: one.textContent,
      inside: at.left >= box.left && at.right <= box.right && at.top >= box.top && at.bottom <= box.bottom,
      size: parseFloat(one.getAttribute("font-size")) * one.getScreenCTM().a,
    };
  });
}"""


VAN_OFF, PUMP_OFF = pytest.param((VAN, "cam-cover"), id="van"), pytest.param((PUMP, "seal"), id="pump")


@pytest.fixture(
    scope="module", params=counts(quick=[VAN_OFF], landing=[VAN_OFF, PUMP_OFF], nightly=[VAN_OFF, PUMP_OFF])
)
def drawn(request, tmp_path_factory):
    machine, target = request.param
    folder = tmp_path_factory.mktemp("drawn") / "job"
    with serving(folder, machine, (target,)) as job:
        yield job


@before_landing
@pytest.mark.parametrize("width", [360, 1280])
def test_it_opens_with_labels_in_view_and_legible(device, drawn, width):
    page = device(served=drawn, viewport={"width": width, "height": 800}).open("/diagram")
    labels = page.evaluate(IN_VIEW)
    seen = [one for one in labels if one["inside"]]
    assert len(seen) >= (3 if width == 360 else 10), len(labels)
    assert min(one["size"] for one in seen) >= 12
    focus = page.locator(".diagram").get_attribute("data-focus")
    box, part = (
        page.locator(where).first.bounding_box() for where in (".diagram", f'.diagram a[href="{focus}"]')
    )
    assert box["x"] <= part["x"] + part["width"] / 2 <= box["x"] + box["width"]
    assert box["y"] <= part["y"] + part["height"] / 2 <= box["y"] + box["height"]


def test_every_part_in_it_leads_to_its_page(device, drawn):
    page = device(served=drawn).open("/diagram")
    nodes = page.locator(".diagram g.node").evaluate_all("""all => all.map(
      one => [one.querySelector("title").textContent, one.querySelector("a")?.getAttribute("href")])""")
    parts = {title.partition("@")[0]: href for title, href in nodes if not title.startswith("@")}
    assert len(parts) >= 4
    assert all(href and href.startswith("/part/") for href in parts.values()), parts


def test_all_of_it_shows_every_label(device, drawn):
    page = device(served=drawn, viewport={"width": 1280, "height": 800}).open("/diagram")
    page.get_by_role("button", name="All of it").tap()
    assert all(one["inside"] for one in page.evaluate(IN_VIEW))
