"""The page in a browser: how soon something is seen, and how soon a changed plan is drawn anew."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tests.bench.measure import Result, percentile
from tests.stage.chromium import launched_chromium
from tests.stage.daemon_process import DaemonProcess
from tests.stage.page_process import PageProcess

if TYPE_CHECKING:
    from playwright.sync_api import Browser

_EXAMPLES = Path(__file__).resolve().parents[2] / "controller" / "examples"
_VIEWS = ("/", "/plan", "/dry-run", "/journal", "/api")
_EDITS = 60
_PAINTED = """() => new Promise((resolve) => {
  const tell = () => {
    const [paint] = performance.getEntriesByName("first-contentful-paint");
    if (paint) resolve(paint.startTime);
    return paint;
  };
  if (!tell()) new PerformanceObserver(tell).observe({ type: "paint", buffered: true });
})"""
# From the order to the frame in which the newest preview is on the screen.
_EDITED = """async ([at, count]) => {
  const { draft } = await import("/static/plan/draft.js");
  const drawn = () => new Promise((resolve) => {
    draft.onPreview(() => {
      if (!draft.isPreviewing) requestAnimationFrame(() => setTimeout(resolve, 0));
    });
  });
  const taken = [];
  for (let number = 0; number < count; number += 1) {
    const began = performance.now();
    const seen = drawn();
    const value = `${5 + (number % 20)}m on, 20m off`;
    const { isDone } = await draft.edit([{ do: "set", at, value }], "a cycle");
    if (!isDone) throw new Error(value);
    await seen;
    taken.push(performance.now() - began);
  }
  return taken;
}"""


def _painted_ms(browser: Browser, url: str) -> float:
    """As seen by somebody who has never been here."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    window = context.new_page()
    window.goto(url)
    painted: float = window.evaluate(_PAINTED)
    context.close()
    return painted


def _edited_ms(browser: Browser, page: PageProcess, at: str) -> list[float]:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    window = context.new_page()
    window.goto(f"{page.url}/plan")
    window.locator(".preview-toggle").first.wait_for()
    taken: Any = window.evaluate(_EDITED, [at, _EDITS + 5])
    context.close()
    return list(taken)[5:]


def browser() -> list[Result]:
    """First paint of each view, cold; and edits of a small plan and of a row of eighteen."""
    results = []
    with launched_chromium() as chromium:
        for name, at in (
            ("porch", "loads.pump.spans.0.cycle"),
            ("greenhouse", "loads.columns_1_3.spans.0.cycle"),
        ):
            with (
                tempfile.TemporaryDirectory() as folder,
                DaemonProcess(Path(folder), _EXAMPLES / f"{name}.toml", "--trust-clock") as daemon,
            ):
                daemon.start()
                with PageProcess(daemon.socket_path) as page:
                    if name == "porch":
                        results += [
                            Result(
                                f"page: first paint of {view}, just started",
                                _painted_ms(chromium, page.url + view), "ms", "", None, 300.0,
                            )
                            for view in _VIEWS
                        ]  # fmt: skip
                    taken = _edited_ms(chromium, page, at)
            for share, aim in ((50, None), (95, 100.0)):
                figure = percentile(taken, share)
                title = f"page: {name}, from an edit to its preview on the screen, p{share}"
                results.append(Result(title, figure, "ms", "", None, aim))
    return results
