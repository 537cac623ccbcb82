// Short remarks to press: each puts its words into the line of text or takes them out, and the line is what counts.

const isIn = (text, words) => ` ${text} `.includes(` ${words}. `);
const without = (text, words) => ` ${text} `.replace(` ${words}. `, " ").trim();

// What was pressed stands first, in the order of the buttons, and what was typed after it.
const toggled = (text, all, words) => {
  const pressed = all.filter((each) => isIn(text, each) !== (each === words));
  return [...pressed.map((each) => `${each}.`), all.reduce(without, text)].join(" ").trim();
};

export const startRemarks = (box, input) => {
  const buttons = [...box.querySelectorAll("button")];
  const all = buttons.map((button) => button.textContent);
  const showPressed = () => {
    for (const button of buttons) {
      button.setAttribute("aria-pressed", String(isIn(input.value, button.textContent)));
    }
  };
  for (const button of buttons) {
    button.addEventListener("click", () => {
      const text = toggled(input.value, all, button.textContent);
      if (input.maxLength < 0 || text.length <= input.maxLength) {
        input.value = text;
        input.dispatchEvent(new Event("input", { bubbles: true }));
      }
    });
  }
  input.addEventListener("input", showPressed);
  showPressed();
  box.hidden = buttons.length === 0;
};
