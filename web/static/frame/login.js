/** Asks for the passcode where the page wants one. */

import { post } from "/static/api.js";
import { button, byId, make, show, write } from "/static/dom.js";
import { WORDS } from "/static/words/frame.js";

/** Shows the form; resolves with the session once it is open, or null where a guest went back. */
export function logIn({ mayGoBack }) {
  const form = byId("login");
  const field = make("input");
  Object.assign(field, { type: "password", id: "passcode", autocomplete: "current-password", required: true });
  field.maxLength = 200;
  const name = make("input"); // a passcode has no name, and keepers of passwords want one
  Object.assign(name, { type: "text", autocomplete: "username", value: "rootclock", hidden: true });
  const label = make("label", "", WORDS.loginLabel);
  label.htmlFor = "passcode";
  const problem = make("p", "problem");
  problem.setAttribute("role", "alert");
  const send = make("button", "strong", WORDS.login);
  return new Promise((resolve) => {
    const end = (session) => {
      show(form, false);
      form.replaceChildren();
      resolve(session);
    };
    const title = make("h1", "", WORDS.loginTitle);
    form.replaceChildren(title, make("p", "", WORDS.loginText), name, label, field, problem, send);
    if (mayGoBack) form.append(button("quiet", WORDS.back, () => end(null)));
    form.onsubmit = async (event) => {
      event.preventDefault();
      send.disabled = true;
      write(problem, "");
      try {
        end(await post("/session", { passcode: field.value }));
      } catch (refusal) {
        write(problem, WORDS.failed(refusal.message));
        field.select();
        field.focus();
      } finally {
        send.disabled = false;
      }
    };
    show(form, true);
    field.focus();
  });
}
