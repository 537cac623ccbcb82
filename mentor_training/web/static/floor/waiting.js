// What waits on this phone: the line that is always in sight, and the list behind it.

import { counts, remove, sendAgain, takeBack, waiting } from "./queue.js";
import { add, dayInWords, one, part, show, slot, timeIn, write } from "./page.js";

const HINDRANCES = {
  "offline": "No network now; what waits goes out when it is back.",
  "signed-out": "You are signed out; what waits goes out when you have signed in again.",
  "not-allowed": "This account may not observe, so that nothing can be sent.",
  "trouble": "The program did not answer as it should; it is tried again.",
};

export const showCount = async (observer) => {
  const { unsent, rejected } = await counts(observer);
  const words = [`${unsent} not sent yet`, ...(rejected > 0 ? [`${rejected} not taken`] : [])].join(", ");
  const line = one("waiting-count");
  if (line.textContent !== words) {
    line.textContent = words;
  }
  line.classList.toggle("must-be-seen", unsent + rejected > 0);
  return unsent;
};

export const showHindrance = (state) => {
  const line = one("connection");
  line.textContent = HINDRANCES[state] ?? "";
  if (state === "signed-out") {
    const then = encodeURIComponent(window.location.pathname);
    add(line, "a", " Sign in", { href: `${one("floor").dataset.signIn}?then=${then}` });
  }
};

let undoTimer;

export const hideUndo = () => {
  clearTimeout(undoTimer);
  one("saved").replaceChildren();
};

// `undone` hears of it when the observation was taken back in time.
export const offerUndo = (key, title, milliseconds, undone) => {
  hideUndo();
  const box = one("saved");
  add(box, "p", `Saved on this phone: ${title}.`);
  const button = add(box, "button", "Undo", { type: "button", className: "button quiet" });
  button.addEventListener("click", async () => {
    const inTime = await takeBack(key);
    hideUndo();
    if (inTime) {
      undone();
    }
  });
  undoTimer = setTimeout(hideUndo, milliseconds);
};

const madeInWords = (floor, row) => {
  const made = new Date(Date.parse(row.look.made_at) - floor.ahead);
  return `${dayInWords(row.look.day)}, ${timeIn(floor.zone, made)}, ${row.look.live ? "live" : "simulated"}`;
};

const rejectedRow = (floor, row, changed) => {
  const node = part("rejected");
  write(node, "title", row.title);
  write(node, "made", madeInWords(floor, row));
  for (const reason of row.reasons) {
    add(slot(node, "reasons"), "li", reason);
  }
  slot(node, "again").addEventListener("click", () => sendAgain(row, floor.now).then(() => changed()));
  slot(node, "remove").addEventListener("click", () => {
    if (window.confirm(`Delete the observation “${row.title}” from this phone? It was never stored anywhere else.`)) {
      remove(row.key).then(() => changed());
    }
  });
  return node;
};

const fillLists = (node, floor, rows, sent, changed) => {
  const rejected = rows.filter((row) => row.rejected);
  const unsent = rows.filter((row) => !row.rejected);
  slot(node, "not-taken").hidden = rejected.length === 0;
  slot(node, "rejected").append(...rejected.map((row) => rejectedRow(floor, row, changed)));
  slot(node, "none").hidden = unsent.length > 0;
  slot(node, "send").hidden = unsent.length === 0;
  for (const row of unsent) {
    add(slot(node, "waiting"), "li", `${row.title}, ${madeInWords(floor, row)}`);
  }
  slot(node, "was-sent").hidden = sent.length === 0;
  for (const { title, words } of sent) {
    add(slot(node, "sent"), "li", `${title}: ${words}`);
  }
};

export const showWaiting = async (floor, sent, moves, changed) => {
  const node = part("waiting");
  const rows = await waiting(floor.observer.code);
  fillLists(node, floor, rows, sent, changed);
  slot(node, "send").addEventListener("click", () => changed());
  const { others } = await counts(floor.observer.code);
  const words = `${others} of another observer on this phone; sent when they sign in here, and as nobody else's.`;
  write(node, "others", others > 0 ? words : "");
  show("What waits on this phone", node, moves);
};
