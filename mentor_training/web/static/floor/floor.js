// The floor page: puts together what the phone keeps, what is shown, and when it is sent.

import { showMarking, marksIn } from "./marking.js";
import { add as addText, address, dayIn, dayInWords, decoded, one, show, timeIn } from "./page.js";
import { showPeople, showSkills } from "./people.js";
import { HELD_FOR, add, release } from "./queue.js";
import { ask, Hindered, jsonOf, send } from "./sending.js";
import { dropNote, keepNote, note } from "./store.js";
import { hideUndo, offerUndo, showCount, showHindrance, showWaiting } from "./waiting.js";

const addresses = one("floor").dataset;
const FIRST_WAIT = 5_000;
const LONGEST_WAIT = 300_000;
const sent = [];
let floor = null;
let wait = FIRST_WAIT;
let timer;

// By the program's clock, as far off as the phone's own was when it last heard from it.
const now = () => new Date(Date.now() - floor.ahead);

// Not crypto.randomUUID, which there is only with HTTPS; what is seen is to be kept without it too.
const newKey = () =>
  Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");

const parts = () => window.location.hash.slice(1).split("/").map(decoded);

const draftOf = async (person, slug) => {
  const draft = await note("draft");
  const isThis = draft?.observer === floor.observer.code && draft.person === person.code && draft.slug === slug;
  return isThis ? draft.given : {};
};

// Phones put pages away when they please; what was marked so far comes back.
const keepDraft = (person, slug, given) =>
  keepNote("draft", { observer: floor.observer.code, person: person.code, slug, given });

const lookOf = (person, slug, given) => ({
  key: newKey(),
  observer: floor.observer.code,
  person: person.code,
  skill: slug,
  day: dayIn(floor.zone, now()),
  made_at: new Date().toISOString(),
  known_at: floor.now,
  live: given.live === "live",
  marks: marksIn(given, floor.skills[slug]),
  station: given.station,
  participant: given.participant,
  remark: given.remark.trim(),
  edition: floor.edition,
});

const save = async (person, slug, given) => {
  const look = lookOf(person, slug, given);
  const title = `${floor.skills[slug].title}, ${person.name}`;
  await add(look, title);
  await dropNote("draft");
  await keepNote("station", given.station);
  offerUndo(look.key, title, HELD_FOR, async () => {
    await keepDraft(person, slug, given);
    await showCount(floor.observer.code);
    window.location.hash = address(person.code, slug);
  });
  window.location.hash = "";
  await showCount(floor.observer.code);
  sendIn(HELD_FOR + 100);
  navigator.storage?.persist?.();
};

// A second press of the button finds nothing to save.
const once = (act) => {
  let begun = false;
  return (...given) => {
    if (!begun) {
      begun = true;
      act(...given);
    }
  };
};

const showTheMarking = async (person, slug) => {
  hideUndo();
  await release(floor.observer.code);
  const given = { station: (await note("station")) ?? "", ...(await draftOf(person, slug)) };
  showMarking(floor, person, slug, given, {
    changed: (values) => keepDraft(person, slug, values),
    done: once((values) => save(person, slug, values)),
  });
  sendIn(0);
};

const showView = async (moves = true) => {
  const [first, slug] = parts();
  // The link that skips to the content leads within the view.
  if (first === "content") {
    return;
  }
  const person = floor.people.find(({ code }) => code === first);
  if (first === "waiting") {
    await showWaiting(floor, sent, moves, () => sendNow(true));
  } else if (person && floor.skills[slug] && person.objections.length === 0) {
    await showTheMarking(person, slug);
  } else if (person) {
    showSkills(floor, person);
  } else {
    showPeople(floor, moves, scanTag);
  }
};

// The person whose name tag it is, or null where the code is none of this program's name tags.
const codeOnTag = (text) => {
  const start = [addresses.tag, `${window.location.origin}${addresses.observe}/`].find((each) => text.startsWith(each));
  const code = start ? text.slice(start.length) : "";
  return /^[\w.%-]+$/.test(code) ? decoded(code) : null;
};

const goToTag = (text) => {
  const code = codeOnTag(text);
  if (code === null) {
    return "This is no name tag of this program.";
  }
  if (!floor.people.some((person) => person.code === code)) {
    return `${code} is not among the people of ${dayInWords(floor.day)}.`;
  }
  window.location.hash = address(code);
  return "";
};

// Fetched when it is first wanted; the phone keeps it like the rest.
const scanTag = async () => (await import("./scan.js")).scan(goToTag);

const isMarking = () => document.querySelector("#view form") !== null;

const sayWhatIsKept = () => {
  const loaded = new Date(floor.now);
  const of = `${floor.title ? `${floor.title}, ` : ""}${dayInWords(floor.day)}`;
  const ready = navigator.serviceWorker?.controller ? "This page works without a network." : "";
  one("not-kept").hidden = window.isSecureContext;
  one("kept").textContent =
    `Observing as ${floor.observer.name} (${floor.observer.code}). People of ${of}, loaded ` +
    `${dayInWords(dayIn(floor.zone, loaded))}, ${timeIn(floor.zone, loaded)}. ${ready}`;
};

const load = async () => {
  const answer = await ask(addresses.floor);
  if (!answer.ok) {
    throw new Hindered("trouble");
  }
  const fresh = await jsonOf(answer);
  fresh.ahead = Date.now() - Date.parse(fresh.now);
  await keepNote("floor", fresh);
  const isAnother = floor?.observer.code !== fresh.observer.code;
  floor = fresh;
  sayWhatIsKept();
  if (isAnother || !isMarking()) {
    await showView(isAnother && window.location.hash !== "");
  }
};

const sendIn = (milliseconds) => {
  clearTimeout(timer);
  timer = setTimeout(() => sendNow(), milliseconds);
};

// What waits at the moment is sent; `moves` where somebody asked for it, so that the list is shown afresh.
const sendNow = async (moves = false) => {
  clearTimeout(timer);
  const before = one("waiting-count").textContent;
  if (floor && (await showCount(floor.observer.code)) > 0) {
    const { state, sent: gone } = await send(addresses);
    sent.push(...gone);
    showHindrance(state);
    wait = state === "" || gone.length > 0 ? FIRST_WAIT : Math.min(wait * 2, LONGEST_WAIT);
    if ((await showCount(floor.observer.code)) > 0) {
      sendIn(wait);
    }
  }
  if (floor && parts()[0] === "waiting" && (moves || before !== one("waiting-count").textContent)) {
    await showView(moves);
  }
};

const refresh = async () => {
  wait = FIRST_WAIT;
  try {
    await load();
    showHindrance("");
  } catch (hindered) {
    if (!(hindered instanceof Hindered)) {
      throw hindered;
    }
    showHindrance(hindered.message);
  }
  await sendNow();
};

const sayNothingIsKept = () => {
  const words = "Nothing is kept on this phone yet. Open this page once with a network, signed in; then it works without.";
  const line = document.createElement("div");
  line.className = "empty";
  addText(line, "p", words);
  show("Observe, with or without a network", line, false);
};

const start = async () => {
  floor = await note("floor");
  if (floor) {
    sayWhatIsKept();
    await showCount(floor.observer.code);
    await showView(window.location.hash !== "");
  } else {
    sayNothingIsKept();
  }
  window.addEventListener("hashchange", () => floor && showView());
  window.addEventListener("online", refresh);
  one("scanner-close").addEventListener("click", () => one("scanner").close());
  document.addEventListener("visibilitychange", () => document.hidden && one("scanner").close());
  navigator.serviceWorker?.addEventListener("controllerchange", () => floor && sayWhatIsKept());
  navigator.serviceWorker?.register(addresses.worker, { scope: addresses.scope }).catch(() => undefined);
  await refresh();
};

start();
