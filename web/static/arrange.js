/** Makes the children of a list those elements in that order, moving none that is in place, so
 * that focus stays where it is. */
export function arrange(list, elements) {
  const wanted = new Set(elements);
  for (const child of [...list.children]) if (!wanted.has(child)) child.remove();
  elements.forEach((element, place) => {
    if (list.children[place] !== element) list.insertBefore(element, list.children[place] ?? null);
  });
}
