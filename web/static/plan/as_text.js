/** The plan as the file has it: typed, checked line by line, read from a file and written to one. */

import { button, make, show, write } from "/static/dom.js";
import { tell } from "/static/frame/orders.js";
import { inField, typedOver } from "/static/plan/line_ends.js";
import { findingList } from "/static/plan/places.js";
import { saveFile } from "/static/save_file.js";
import { WORDS } from "/static/words/plan_text.js";

const TEXT_MAX_BYTES = 256 * 1024;
const KILOBYTE = 1024;

/** Draws the text into `home` while `folder`, which holds it, is open, and goes on doing so. Gives
 * `showLine(line)`, which opens it and puts the cursor into that line; the first is 1. */
export function draw(folder, home, draft) {
  const label = make("label", "hint", WORDS.textLabel);
  label.htmlFor = "toml";
  const field = fieldOf(draft);
  const numbers = make("div", "line-numbers");
  numbers.setAttribute("aria-hidden", "true");
  const said = make("p", "text-said");
  said.setAttribute("role", "status");
  const found = make("div");
  home.append(
    label, make("div", "text-home", make("div", "numbers-home", numbers), field),
    make("p", "hint", WORDS.textHint), said, found, files(draft),
  );
  const follow = () => { numbers.style.transform = `translateY(${-field.scrollTop}px)`; };
  const redraw = () => {
    if (!folder.open) return;
    putText(field, draft.text);
    field.readOnly = !draft.rights.mayOrder;
    drawNumbers(numbers, draft);
    follow();
    drawFound(said, found, draft);
  };
  field.addEventListener("scroll", follow);
  folder.addEventListener("toggle", redraw);
  draft.onChange(redraw);
  draft.onPreview(redraw);
  redraw();
  const showLine = (line) => {
    folder.open = true;
    redraw();
    goTo(field, line);
  };
  return { showLine };
}

function fieldOf(draft) {
  const field = make("textarea", "toml");
  Object.assign(field, { id: "toml", wrap: "off", spellcheck: false, autocomplete: "off" });
  field.setAttribute("autocapitalize", "off");
  field.addEventListener("input", () => draft.setText(typedOver(draft.text, field.value)));
  return field;
}

/** Writes the text where it differs, with the cursor and the place in sight as they were. */
function putText(field, text) {
  const plain = inField(text);
  if (field.value === plain) return;
  const { selectionStart, selectionEnd, scrollTop, scrollLeft } = field;
  field.value = plain;
  field.setSelectionRange(selectionStart, selectionEnd);
  Object.assign(field, { scrollTop, scrollLeft });
}

function drawNumbers(numbers, draft) {
  const count = draft.text.split("\n").length;
  const levels = new Map();
  for (const { line, level } of draft.findings) if (level !== "note" && !levels.has(line)) levels.set(line, level);
  const key = JSON.stringify([count, [...levels]]);
  if (numbers.dataset.key === key) return;
  numbers.dataset.key = key;
  numbers.replaceChildren(...Array.from({ length: count }, (_, i) => {
    const level = levels.get(i + 1);
    return make("span", level ? `is-${level}` : "", level ? `${WORDS.mark}${i + 1}` : String(i + 1));
  }));
}

function drawFound(said, found, draft) {
  write(said, saidOf(draft));
  const key = JSON.stringify(draft.findings);
  if (found.dataset.key === key) return;
  found.dataset.key = key;
  found.replaceChildren(findingList(draft.findings));
}

function saidOf(draft) {
  if (!draft.isJudged) return draft.previewProblem === null ? WORDS.textJudging : WORDS.textUnjudged;
  const errors = draft.findings.filter(({ level }) => level === "error").length;
  if (errors) return WORDS.errorsText(errors);
  return draft.findings.length ? "" : WORDS.textFine;
}

/** Puts the cursor into a line, selected and in sight; the first is 1. */
function goTo(field, line) {
  const lines = field.value.split("\n");
  const at = Math.min(Math.max(line, 1), lines.length) - 1;
  const start = lines.slice(0, at).reduce((sum, text) => sum + text.length + 1, 0);
  field.focus({ preventScroll: true });
  field.setSelectionRange(start, start + lines[at].length);
  field.scrollTop = Math.max(0, ((at + 0.5) / lines.length) * field.scrollHeight - field.clientHeight / 2);
  field.scrollLeft = 0;
  field.scrollIntoView({ block: "center" });
}

function files(draft) {
  const input = make("input", "unseen");
  Object.assign(input, { type: "file", accept: ".toml,text/plain", tabIndex: -1, id: "plan-file" });
  input.setAttribute("aria-hidden", "true");
  input.addEventListener("change", async () => {
    const [file] = input.files;
    if (file) await readFile(file, draft);
    input.value = "";
  });
  const upload = button("quiet", WORDS.upload, () => input.click());
  const draw = () => show(upload, draft.rights.mayOrder);
  draft.onChange(draw);
  draw();
  return make("div", "choices", button("quiet", WORDS.download, () => download(draft)), upload, input);
}

async function readFile(file, draft) {
  const refuse = (words) => tell(words, { isProblem: true });
  if (file.size > TEXT_MAX_BYTES) {
    refuse(WORDS.fileTooBig(file.name, TEXT_MAX_BYTES / KILOBYTE));
    return;
  }
  let text;
  try {
    text = new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
  } catch (error) {
    refuse(error instanceof TypeError ? WORDS.fileNoText(file.name) : WORDS.fileUnread(file.name));
    return;
  }
  draft.setText(text, WORDS.stepFile(file.name), null);
  tell(WORDS.fileRead(file.name));
}

function download({ text, base, isChanged }) {
  saveFile(text, WORDS.fileName(base.revision, isChanged), "application/toml");
}
