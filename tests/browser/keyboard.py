"""Somebody at a keyboard, with Tab, arrows, Space, Enter and typing; and what the browser says has the focus."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from playwright.sync_api import Page

ENOUGH = 120
# The roles under which the browser tells an assistive technology of what can be used.
CONTROLS = (
    "button",
    "checkbox",
    "combobox",
    "DisclosureTriangle",
    "link",
    "radio",
    "searchbox",
    "spinbutton",
    "textbox",
)
ACTIVE = "document.activeElement"
# Whatever has the focus shows it by a line around itself, and stands within the window.
SEEN = """() => {
  const one = document.activeElement, box = one.getBoundingClientRect(), line = getComputedStyle(one);
  return line.outlineStyle !== "none" && parseFloat(line.outlineWidth) >= 1
    && box.bottom > 0 && box.right > 0 && box.top < innerHeight && box.left < innerWidth;
}"""


@dataclass(frozen=True)
class Control:
    """What the browser tells of a control: its role and its accessible name."""

    role: str
    name: str


class Keyboard:
    """One page, used by its keyboard alone."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.browser = page.context.new_cdp_session(page)

    def press(self, *keys: str) -> None:
        """Press keys one after the other, once the page is there with its styles."""
        self.page.wait_for_load_state()
        for key in keys:
            self.page.keyboard.press(key)

    def type(self, text: str) -> None:
        """Type a text where the focus is."""
        self.page.keyboard.type(text)

    def focus(self) -> Control:
        """Return what has the focus, as the browser tells an assistive technology."""
        found = self.browser.send("Runtime.evaluate", {"expression": ACTIVE})["result"]["objectId"]
        asked = {"objectId": found, "fetchRelatives": False}
        return _control(self.browser.send("Accessibility.getPartialAXTree", asked)["nodes"][0])

    def go_to(self, name: str, key: str = "Tab") -> None:
        """Press a key until what bears a name has the focus; every stop on the way shows that it has it."""
        passed: list[str] = []
        for _ in range(ENOUGH):
            self.press(key)
            at = self.focus()
            assert at.role not in CONTROLS or self.page.evaluate(SEEN), f"the focus on {at} is not seen"
            if at.name == name:
                return
            passed.append(f"{at.role} {at.name}")
        raise AssertionError(f"{key} never comes to {name!r}, only past {dict.fromkeys(passed)}")

    def choose(self, name: str, group: str) -> None:
        """Choose a radio button: Tab into its group, Space, then the arrow as often as it takes."""
        presses = 0
        while not (self.focus().role == "radio" and self.group() == group):
            presses += 1
            assert presses <= ENOUGH, f"Tab never comes to {group!r}"
            self.press("Tab")
        self.press("Space")
        if self.focus().name != name:
            self.go_to(name, "ArrowDown")

    def group(self) -> str:
        """Return the legend of the group in which the focus is."""
        legend = f"{ACTIVE}.closest('fieldset')?.querySelector('legend').textContent.trim() ?? ''"
        return str(self.page.evaluate(legend))

    def controls(self) -> list[Control]:
        """Return every control of the page, also those that Tab passes by because arrows lead to them."""
        nodes = self.browser.send("Accessibility.getFullAXTree")["nodes"]
        return [one for one in map(_control, (node for node in nodes if not node["ignored"])) if one.role in CONTROLS]


def _control(node: dict[str, Any]) -> Control:
    return Control(node.get("role", {}).get("value", ""), node.get("name", {}).get("value", ""))
