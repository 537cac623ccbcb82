// Small ways to fill the page in from its own templates; text is always set as text.

export const one = (id) => document.getElementById(id);

export const part = (id) => one(`part-${id}`).content.cloneNode(true);

export const slot = (node, name) => node.querySelector(`[data-slot="${name}"]`);

export const write = (node, name, text) => {
  const found = slot(node, name);
  found.textContent = text;
  found.hidden = text === "";
  return found;
};

export const add = (parent, tag, text, more = {}) => {
  const child = document.createElement(tag);
  child.textContent = text;
  Object.assign(child, more);
  parent.append(child);
  return child;
};

// Shows a view under its own heading and moves the focus there, as a new page would.
export const show = (heading, node, moves = true) => {
  const head = document.querySelector("h1");
  head.textContent = heading;
  head.tabIndex = -1;
  document.title = `${heading} | ${document.title.split(" | ").pop()}`;
  one("view").replaceChildren(node);
  if (moves) {
    window.scrollTo(0, 0);
    head.focus({ preventScroll: true });
  }
};

export const address = (...parts) => `#${parts.map(encodeURIComponent).join("/")}`;

// A part of an address in plain text; as it is where it was written wrong, as a code from elsewhere may be.
export const decoded = (text) => {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
};

// Letters with marks are found by those without.
export const plain = (text) => text.toLowerCase().normalize("NFD").replace(/\p{M}/gu, "");

// The day on which a moment falls where the program is, whatever zone the phone is set to.
export const dayIn = (zone, moment) => {
  const form = new Intl.DateTimeFormat("en-US", { timeZone: zone, year: "numeric", month: "2-digit", day: "2-digit" });
  const found = Object.fromEntries(form.formatToParts(moment).map(({ type, value }) => [type, value]));
  return `${found.year}-${found.month}-${found.day}`;
};

// "Sat 17 Oct 2026", and with the time "Sat 17 Oct 2026, 10:20".
export const dayInWords = (day) => {
  const at = new Date(`${day}T12:00:00Z`);
  const word = (more) => new Intl.DateTimeFormat("en-US", { timeZone: "UTC", ...more }).format(at);
  return `${word({ weekday: "short" })} ${at.getUTCDate()} ${word({ month: "short" })} ${at.getUTCFullYear()}`;
};

export const timeIn = (zone, moment) =>
  new Intl.DateTimeFormat("en-US", { timeZone: zone, hour: "2-digit", minute: "2-digit", hourCycle: "h23" }).format(moment);
