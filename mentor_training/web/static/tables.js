// Sorts and filters the tables that ask for it. Without it, every table still reads in full.
"use strict";

(() => {
  const compare = new Intl.Collator("en", { numeric: true, sensitivity: "base" }).compare;

  const keyOf = (row, column) => {
    const cell = row.cells[column];
    return cell === undefined ? "" : cell.dataset.sort ?? cell.textContent.trim();
  };

  // A cell with nothing in it stands last, whichever way the column runs.
  const order = (first, second, direction) => {
    if (first === "" || second === "") {
      return (first === "") - (second === "");
    }
    const difference = Number(first) - Number(second);
    return direction * (Number.isNaN(difference) ? compare(first, second) : difference);
  };

  const sortBy = (table, head, column) => {
    const rising = head.getAttribute("aria-sort") !== "ascending";
    table.querySelectorAll("thead th[aria-sort]").forEach((other) => other.removeAttribute("aria-sort"));
    head.setAttribute("aria-sort", rising ? "ascending" : "descending");
    for (const body of table.tBodies) {
      const rows = [...body.rows];
      rows.sort((a, b) => order(keyOf(a, column), keyOf(b, column), rising ? 1 : -1));
      body.append(...rows);
    }
  };

  // Browsers do not paint a button in a head that is repeated on the next sheet of paper; the words alone they do.
  const wordsForPaper = (head) => {
    const words = document.createElement("span");
    words.className = "in-print";
    words.textContent = head.textContent.trim();
    return words;
  };

  const sortButton = (head) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "sort";
    button.append(...head.childNodes);
    return button;
  };

  const makeSortable = (table) => {
    const heads = table.tHead?.rows[table.tHead.rows.length - 1]?.cells ?? [];
    [...heads].forEach((head, column) => {
      if ("nosort" in head.dataset || head.textContent.trim() === "") {
        return;
      }
      const words = wordsForPaper(head);
      const button = sortButton(head);
      button.addEventListener("click", () => sortBy(table, head, column));
      head.append(words, button);
    });
  };

  // Letters that do not come apart into a plain one and a mark.
  const LETTERS = { æ: "ae", đ: "d", ð: "d", ħ: "h", ı: "i", ł: "l", ø: "o", œ: "oe", ß: "ss", þ: "th" };

  // Łęcka is found by lecka.
  const plain = (text) =>
    text.toLowerCase().normalize("NFD").replace(/\p{M}/gu, "").replace(/[æđðħıłøœßþ]/g, (letter) => LETTERS[letter]);

  const showOnly = (rows, words, count) => {
    let shown = 0;
    for (const row of rows) {
      const text = plain(row.textContent);
      row.hidden = !words.every((word) => text.includes(word));
      shown += row.hidden ? 0 : 1;
    }
    count.textContent = words.length === 0 ? "" : `${shown} of ${rows.length} rows`;
  };

  const makeFilterable = (table) => {
    const tools = document.querySelector(`[data-table-tools="${CSS.escape(table.id)}"]`);
    const box = tools?.querySelector(".table-filter");
    if (!box) {
      return;
    }
    const input = box.querySelector("input");
    const count = tools.querySelector(".table-count");
    const rows = [...table.tBodies].flatMap((body) => [...body.rows]);
    const filter = () => showOnly(rows, plain(input.value).split(/\s+/).filter(Boolean), count);
    input.addEventListener("input", filter);
    box.hidden = false;
    filter();
  };

  document.querySelectorAll("table[data-sortable]").forEach(makeSortable);
  document.querySelectorAll("table[data-filterable]").forEach(makeFilterable);
})();
