// Marking one skill of one volunteer, criterion by criterion; there is no way to mark several at once.

import { add, address, one, part, show, slot, write } from "./page.js";
import { warnings } from "./people.js";
import { startRemarks } from "./remarks.js";

const ANOTHER_WAY = "another-way";

const markBox = (number, [mark, word]) => {
  const box = document.createElement("div");
  box.className = `choice mark-${mark}`;
  const id = `mark-${number}-${mark}`;
  add(box, "input", "", { type: "radio", id, name: `mark-${number}`, value: mark });
  add(box, "label", word, { htmlFor: id });
  return box;
};

const criterion = (floor, number, [text, critical]) => {
  const node = part("criterion");
  node.querySelector("fieldset").id = `criterion-${number}`;
  write(node, "text", `${number}. ${text}`);
  slot(node, "critical").hidden = !critical;
  slot(node, "marks").append(...floor.marks.map((mark) => markBox(number, mark)));
  const way = node.querySelector(".way");
  const input = way.querySelector("input");
  Object.assign(input, { id: `way-${number}`, name: `way-${number}` });
  way.querySelector("label").htmlFor = input.id;
  write(way, "which", `Criterion ${number}: which other way`);
  return node;
};

const options = (select, pairs) => {
  for (const [value, words] of pairs) {
    add(select, "option", words, { value });
  }
};

const reasonsNotToCount = (floor, skill) => {
  const reasons = [!floor.calibrated && "not calibrated", !skill.entitled && "not entitled to this skill"].filter(Boolean);
  return reasons.length > 0 ? [`Kept and shown, but not counted: you are ${reasons.join(" and ")}.`] : [];
};

const fill = (form, given) => {
  for (const [name, value] of Object.entries(given)) {
    const field = form.elements[name];
    if (field) {
      field.value = value;
    }
  }
};

export const valuesOf = (form) => Object.fromEntries(new FormData(form));

// Each fault with the group of fields that it is about, in the order of the page.
const faultsOf = (form, skill) => {
  const given = valuesOf(form);
  const faults = skill.criteria.flatMap((_, place) => {
    const number = place + 1;
    const mark = given[`mark-${number}`];
    if (!mark) {
      return [[`criterion-${number}`, "Mark this one too; choose Not seen if it did not come up."]];
    }
    const lacksWay = mark === ANOTHER_WAY && !given[`way-${number}`].trim();
    return lacksWay ? [[`criterion-${number}`, "Say which other way it was done."]] : [];
  });
  return given.live ? faults : [...faults, ["live", "Say whether it was live or simulated."]];
};

const showFaults = (form, faults) => {
  for (const group of form.querySelectorAll("fieldset")) {
    const words = faults.find(([id]) => id === group.id)?.[1] ?? "";
    const line = group.querySelector(".wrong");
    line.textContent = words;
    line.hidden = words === "";
    group.classList.toggle("is-wrong", words !== "");
  }
  const summary = one("error-summary");
  summary.hidden = faults.length === 0;
  const list = summary.querySelector("ul");
  list.replaceChildren();
  summary.querySelector("h2").textContent =
    faults.length === 1 ? "One thing has to be put right" : `${faults.length} things have to be put right`;
  for (const [id, words] of faults) {
    const button = add(add(list, "li", ""), "button", `${nameOf(id)}: ${words}`, { type: "button", className: "as-link" });
    button.addEventListener("click", () => one(id).querySelector("input").focus());
  }
  if (faults.length > 0) {
    summary.focus();
  }
};

const nameOf = (id) => (id === "live" ? "How it was seen" : `Criterion ${id.split("-")[1]}`);

export const marksIn = (given, skill) =>
  skill.criteria.map((_, place) => {
    const mark = given[`mark-${place + 1}`];
    return { mark, way: mark === ANOTHER_WAY ? given[`way-${place + 1}`].trim() : "" };
  });

// `given` are values that were there before; `changed` hears of every change, and `done` of what is whole.
export const showMarking = (floor, person, slug, given, { changed, done }) => {
  const skill = floor.skills[slug];
  const node = part("marking");
  write(node, "warning", [...warnings(floor, person), ...reasonsNotToCount(floor, skill)].join(" "));
  for (const [, word, meaning] of floor.marks) {
    add(slot(node, "meanings"), "dt", word);
    add(slot(node, "meanings"), "dd", meaning);
  }
  slot(node, "criteria").append(...skill.criteria.map((each, place) => criterion(floor, place + 1, each)));
  const form = node.querySelector("form");
  options(form.elements.participant, floor.participants.map(([code, name]) => [code, `${name} (${code})`]));
  options(form.elements.station, floor.stations);
  fill(form, given);
  const remarks = slot(node, "remarks");
  for (const words of skill.remarks ?? floor.remarks) {
    add(remarks, "button", words, { type: "button", className: "button quiet remark" });
  }
  startRemarks(remarks, form.elements.remark);
  const back = write(node, "back", `Another skill of ${person.name}`);
  back.href = address(person.code);
  form.addEventListener("input", () => changed(valuesOf(form)));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const faults = faultsOf(form, skill);
    showFaults(form, faults);
    if (faults.length === 0) {
      done(valuesOf(form));
    }
  });
  show(`${skill.title}, ${person.name}`, node);
};
