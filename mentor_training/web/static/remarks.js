// On a page that records an observation with a network: the short remarks, hidden where no script runs.

import { startRemarks } from "./floor/remarks.js";

for (const box of document.querySelectorAll(".remarks[data-for]")) {
  startRemarks(box, document.getElementById(box.dataset.for));
}
