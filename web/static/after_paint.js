/** What a view needs soon, but not for its first paint: the markup names its modules, with all that
 * they import, in `<meta name="after-paint">`. */

const PAINT = "first-contentful-paint";
const SURELY_MS = 2_000; // from the first frame on

/** Resolves once something is painted, from when on nothing takes the network from that. A window
 * that nobody looks at paints nothing. */
export const painted = new Promise((resolve) => {
  const isPaint = (list) => list.getEntriesByName(PAINT).length > 0;
  new PerformanceObserver((list) => isPaint(list) && resolve()).observe({ type: "paint", buffered: true });
  // Some browsers keep their times to themselves, for their readers' sake.
  requestAnimationFrame(() => setTimeout(resolve, SURELY_MS));
});

/** Has the browser ask for them once it has painted: for all at once, not layer after layer, and
 * after what else is asked for. Import them as any other: what could not be had is asked for again. */
export async function fetchAfterPaint() {
  await painted;
  const { content } = document.querySelector("meta[name=after-paint]");
  const links = content.split(" ").map((href) =>
    Object.assign(document.createElement("link"), { rel: "modulepreload", href, fetchPriority: "low" }));
  document.head.append(...links);
}
