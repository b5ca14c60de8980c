/** What this browser keeps of the view over reloads: files, a fault script, the last outcomes. */

const NAME = "rootclock.dry-run";
const STORE = "kept";
const memory = new Map(); // where the browser keeps nothing, as in a private window
let opened = null;

function open() {
  opened ??= new Promise((resolve) => {
    let asked;
    try {
      asked = indexedDB.open(NAME, 1);
    } catch {
      resolve(null); // storage is forbidden to this page: memory has to do
      return;
    }
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE);
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => resolve(null);
    asked.onblocked = () => resolve(null);
  });
  return opened;
}

/** A request's result; undefined where the browser refused it. */
async function done(mode, act) {
  const database = await open();
  if (database === null) return undefined;
  return new Promise((resolve) => {
    const asked = act(database.transaction(STORE, mode).objectStore(STORE));
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = (event) => {
      event.preventDefault(); // a full disk: what is in memory lasts until the window is closed
      resolve(undefined);
    };
  });
}

/** What was kept by that name, or null. */
export async function kept(name) {
  if (memory.has(name)) return memory.get(name);
  return (await done("readonly", (store) => store.get(name))) ?? null;
}

/** Keeps a value; null forgets it. */
export async function keep(name, value) {
  memory.set(name, value);
  await done("readwrite", (store) => (value === null ? store.delete(name) : store.put(value, name)));
}
