// Whom to see, and what they are to be seen doing; in the order in which the program gave them.

import { add, address, one, part, plain, show, slot, write } from "./page.js";

const NOT_BEGUN = "not begun";

const upper = (text) => text.charAt(0).toUpperCase() + text.slice(1);
const lower = (text) => text.charAt(0).toLowerCase() + text.slice(1);

const row = (title, code, more, href) => {
  const node = part("row");
  write(node, "title", title);
  write(node, "code", code);
  write(node, "more", more);
  node.querySelector("a").href = href;
  return node;
};

// How a skill stands, and why it is to be seen now where there is a reason.
const stateOf = (floor, [, words, , reason]) => {
  const why = reason === undefined ? "" : `; ${floor.reasons[reason]}`;
  return `${words || NOT_BEGUN}${why}.`;
};

const inShort = (floor, person) => {
  const first = person.skills.find(([, , settled]) => !settled);
  if (person.objections.length > 0) {
    return "Another observer has to see them.";
  }
  return first ? `${floor.skills[first[0]].title}: ${lower(stateOf(floor, first))}` : "Everything is signed off.";
};

const filter = (rows, words) => {
  const wanted = plain(words).split(/\s+/).filter(Boolean);
  let shown = 0;
  for (const each of rows) {
    each.hidden = !wanted.every((word) => plain(each.querySelector(".row-name").textContent).includes(word));
    shown += each.hidden ? 0 : 1;
  }
  one("found").textContent = wanted.length > 0 ? `${shown} of ${rows.length}` : "";
};

export const showPeople = (floor, moves, scan) => {
  const node = part("people");
  node.getElementById("calibration-due").hidden = floor.calibrated;
  const list = node.getElementById("people");
  for (const person of floor.people) {
    list.append(row(person.name, person.code, inShort(floor, person), address(person.code)));
  }
  if (floor.people.length === 0) {
    add(list, "li", "Nobody is expected. Sessions say who is expected when.");
  }
  const rows = [...list.children];
  node.getElementById("filter").addEventListener("input", (event) => filter(rows, event.target.value));
  node.getElementById("scan").addEventListener("click", scan);
  show("Observe, with or without a network", node, moves);
};

// What has to be known before anything is marked.
export const warnings = (floor, person) => [
  ...person.objections,
  ...person.stood_down.map((words) => `Stood down ${words}.`),
];

export const showSkills = (floor, person) => {
  const node = part("skills");
  write(node, "warning", warnings(floor, person).join(" "));
  const list = slot(node, "skills");
  for (const skill of person.objections.length > 0 ? [] : person.skills) {
    list.append(row(floor.skills[skill[0]].title, "", upper(stateOf(floor, skill)), address(person.code, skill[0])));
  }
  show(`${person.name}: skills`, node);
};
