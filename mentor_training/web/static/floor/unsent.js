// On every page of an observer: says what is not sent yet, and asks before signing out with it.

import { counts } from "./queue.js";
import { dropNotes } from "./store.js";

const form = document.querySelector(".sign-out[data-observer]");

const inWords = ({ unsent, rejected }) =>
  [unsent && `${unsent} not sent yet`, rejected && `${rejected} not taken`].filter(Boolean).join(", ");

const show = (found) => {
  const words = inWords(found);
  if (words) {
    const line = document.createElement("p");
    line.className = "unsent";
    const link = document.createElement("a");
    link.href = `${form.dataset.floor}#waiting`;
    link.textContent = words;
    line.append(link);
    form.closest(".top-line").append(line);
  }
};

// What waits stays; the people of the day do not.
const leave = async () => {
  const found = await counts(form.dataset.observer);
  const many = found.unsent + found.rejected;
  const question =
    `${many === 1 ? "One observation is" : `${many} observations are`} on this phone and not sent. ` +
    "What waits stays here and is sent when you sign in here again. Sign out all the same?";
  if (many > 0 && !window.confirm(question)) {
    return false;
  }
  await dropNotes();
  return true;
};

if (form && globalThis.indexedDB) {
  counts(form.dataset.observer).then(show, () => undefined);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    // A store that does not open keeps nobody signed in.
    leave().then((goes) => goes && form.submit(), () => form.submit());
  });
}
