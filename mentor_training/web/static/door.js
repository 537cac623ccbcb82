// Checks people in by their name tags: what a code says goes into the form of the list, which is sent as if typed.

import { one } from "./floor/page.js";
import { scan } from "./floor/scan.js";

const form = one("by-tag");
const { tags, just } = form.dataset;

const found = (text) => {
  if (!text.startsWith(tags)) {
    return "This is no name tag of this program.";
  }
  if (text === tags + encodeURIComponent(just)) {
    return `${form.dataset.said} Now the next tag.`;
  }
  form.elements.tag.value = text;
  form.elements.scan.value = "on";
  form.requestSubmit();
  return "";
};

const button = one("scan-tag");
button.hidden = false;
button.addEventListener("click", () => scan(found));
one("scanner-close").addEventListener("click", () => one("scanner").close());
document.addEventListener("visibilitychange", () => document.hidden && one("scanner").close());
// After a tag the list comes anew, and the camera goes on looking for the next one.
if ("goOn" in form.dataset) {
  scan(found);
}
