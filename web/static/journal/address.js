/** What is asked for, in the address: so that a window can be reloaded, kept and passed on. */

const FILTERS = ["load", "find", "since", "until"];

/** The filters and the question that the address has. */
export function readAddress() {
  const query = new URLSearchParams(location.search);
  const filters = Object.fromEntries(FILTERS.map((name) => [name, query.get(name) ?? ""]));
  filters.only = query.getAll("only");
  return { filters, asked: { load: query.get("why") ?? "", at: query.get("at") ?? "" } };
}

/** Filters as a query of the API; those that are empty are left out. */
export function queryOf(filters) {
  const query = new URLSearchParams();
  for (const name of FILTERS) if (filters[name]) query.append(name, filters[name]);
  for (const kind of filters.only) query.append("only", kind);
  return query;
}

/** Puts filters and question into the address. */
export function writeAddress(filters, asked) {
  const query = queryOf(filters);
  if (asked.load && asked.at) {
    query.append("why", asked.load);
    query.append("at", asked.at);
  }
  const text = query.toString();
  history.replaceState(null, "", text ? `?${text}` : location.pathname);
}
