"""Ten fingers and no mouse: a person who finds each control by its name and works it from the keyboard."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from playwright.sync_api import Page

from tests.browser.conftest import wait_for_htmx

MOST_STOPS = 400
"""Tab stops tried before a control counts as out of reach; the longest form has about a hundred."""

# What has the focus: its name as its label says it, the groups around it, and whether it can be seen to have it.
_FOCUSED = """() => {
  const at = document.activeElement;
  if (!at || at === document.body) return null;
  const plain = (node, besides = '') => {
    const copy = node.cloneNode(true);
    copy.querySelectorAll('.optional, select, input, textarea' + besides).forEach(part => part.remove());
    return copy.textContent.replace(/\\s+/g, ' ').trim();
  };
  const field = at.labels && at.labels.length && at.tagName !== 'BUTTON';
  const name = at.getAttribute('aria-label') || (field ? plain(at.labels[0]) : plain(at));
  const heading = at.querySelector('h2, h3');
  const groups = [];
  for (let up = at.parentElement; up; up = up.parentElement) {
    if (up.tagName === 'FIELDSET') groups.push(plain(up.querySelector('legend')));
    if (up.getAttribute('role') === 'group') groups.push(up.getAttribute('aria-label'));
    if (up.tagName === 'LI') groups.push(up.textContent.replace(/\\s+/g, ' ').trim());
  }
  const box = at.getBoundingClientRect();
  const style = getComputedStyle(at);
  const shares = [[.5, .5], [.1, .1], [.9, .1], [.1, .9], [.9, .9]];
  const seen = shares.some(([across, down]) => {
    const top = document.elementFromPoint(box.left + box.width * across, box.top + box.height * down);
    return top && (at.contains(top) || top.contains(at));
  });
  return {
    name,
    short: field ? plain(at.labels[0], ', .visually-hidden, .soft') : heading ? plain(heading) : name,
    groups,
    outlined: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2,
    seen: seen && box.width > 1 && box.height > 1,
  };
}"""


# Where an answer is put into the page and what had the focus is gone, nothing has it: told on the console, which
# the test's watch reads.
_WATCHED = """() => {
  if (window.focusWatched) return;
  window.focusWatched = true;
  let had = null;
  document.addEventListener('htmx:before:swap', () => { had = document.activeElement; });
  document.addEventListener('htmx:after:swap', () => requestAnimationFrame(() => {
    if (had && had !== document.body && !had.isConnected && document.activeElement === document.body)
      console.error('the focus is lost: ' + had.outerHTML.slice(0, 200));
    had = null;
  }));
}"""


@dataclass(frozen=True)
class Focus:
    """The control that has the focus."""

    name: str
    short: str
    """The same without what only a screen reader says, such as the unit; of a link, its heading."""
    groups: tuple[str, ...]

    def is_called(self, name: str, within: str | None) -> bool:
        return name in {self.name, self.short} and (
            within is None or any(within in group for group in self.groups)
        )


class Hands:
    """Works a page by ``page.keyboard`` alone. Fails where the focus cannot be seen, is lost or goes round."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self._keys = page.keyboard
        page.add_init_script(f"({_WATCHED})()")

    def focus(self) -> Focus | None:
        """What has the focus; None where the page as a whole has it."""
        found = self.page.evaluate(_FOCUSED)
        if found is None:
            return None
        if not found["seen"]:
            found = self._focus_again()
        where = f"{found['name']!r} in {found['groups'][:1]} at {self.page.url}"
        assert found["seen"], f"the focus is hidden: {where}"
        assert found["outlined"], f"nothing shows that the focus is on {where}"
        return Focus(found["name"], found["short"], tuple(found["groups"]))

    def _focus_again(self) -> dict[str, Any]:
        """Leave the control and come back: an answer that arrived just now may have moved the page under it."""
        wait_for_htmx(self.page)
        self._keys.press("Shift+Tab")
        self._keys.press("Tab")
        return dict(self.page.evaluate(_FOCUSED))

    def reach(self, name: str, within: str | None = None) -> None:
        """Press Tab until the control of this name has the focus."""
        passed: list[str] = []
        rounds = 0
        for _ in range(MOST_STOPS):
            self._keys.press("Tab")
            focus = self.focus()
            if focus is not None and focus.is_called(name, within):
                return
            passed.append("(the page)" if focus is None else focus.name)
            rounds += focus is not None and focus.name == "Skip to the content"
            if rounds == 2:
                break
        raise AssertionError(f"Tab never came to {name!r} ({within=}) at {self.page.url}; it passed {passed}")

    def fill(self, name: str, text: str, within: str | None = None) -> None:
        """Tab to a field, which selects what it holds, and type in its place."""
        self.reach(name, within)
        self._keys.type(text)
        # the field itself says what arrived
        assert self.page.evaluate("document.activeElement.value") == text, name

    def choose(self, name: str, option: str, within: str | None = None) -> None:
        """Tab to a list and type the start of the wanted option, as one does."""
        self.reach(name, within)
        self._keys.type(option)
        chosen = self.page.evaluate("document.activeElement.selectedOptions[0].textContent")
        assert chosen.startswith(option), f"{name}: {chosen}"

    def tick(self, name: str) -> None:
        """Tab to a box that is not ticked, and tick it."""
        self.reach(name)
        self._keys.press("Space")
        assert self.page.evaluate("document.activeElement.checked"), name

    def untick(self, name: str) -> None:
        """Tab to a box that is ticked, and take the tick away."""
        self.reach(name)
        self._keys.press("Space")
        assert not self.page.evaluate("document.activeElement.checked"), name

    def pick(self, name: str) -> None:
        """Within the set of radio buttons that comes next, go down to the wanted one.

        Where none of them is chosen yet, the focus comes to the first without choosing it: Space does.
        """
        self.reach_next("[type=radio]")
        first = focus = self.focus()
        while focus is not None and not focus.is_called(name, None):
            self._keys.press("ArrowDown")
            focus = self.focus()
            assert focus != first, f"no radio button beside {first} is called {name!r}"
        if not self.page.evaluate("document.activeElement.checked"):
            self._keys.press("Space")
        assert self.page.evaluate("document.activeElement.checked"), name

    def add_row(self, button: str, first_field: str, within: str | None = None) -> None:
        """Press a button that adds fields; the typing goes on in the first of them."""
        self.reach(button, within)
        before = self._fields()
        self._keys.press("Enter")
        self.page.wait_for_function(
            "before => document.querySelectorAll('main input').length > before"
            " && document.activeElement.tagName === 'INPUT'",
            arg=before,
        )
        focus = self.focus()
        assert focus is not None
        assert focus.is_called(first_field, None), f"after {button!r} the focus is on {focus}"

    def type_here(self, text: str) -> None:
        """Type in the field that has the focus."""
        self._keys.press("Control+a")
        self._keys.type(text)

    def reach_next(self, selector: str) -> None:
        """Press Tab until the focus is on what this selector names."""
        for _ in range(MOST_STOPS):
            self._keys.press("Tab")
            if self.page.evaluate("selector => document.activeElement.matches(selector)", selector):
                self.focus()
                return
        raise AssertionError(f"Tab never came to {selector} at {self.page.url}")

    def press(self, name: str, within: str | None = None) -> None:
        """Tab to a button and press Enter; where its answer is put into the page, the focus is not lost."""
        self.reach(name, within)
        self.page.evaluate("window.staying = true")
        with self.page.expect_response(lambda answer: answer.request.method == "POST"):
            self._keys.press("Enter")
        self.page.wait_for_load_state()
        wait_for_htmx(self.page)
        lost = self.page.evaluate("window.staying && document.activeElement === document.body")
        assert not lost, f"after {name!r} the focus is nowhere at {self.page.url}"

    def follow(self, name: str, within: str | None = None) -> None:
        """Tab to a link or a button, press Enter, and wait for the page that it leads to."""
        self.reach(name, within)
        self.enter()

    def follow_new(self, kind: str) -> None:
        """On a project's page, go on to the form of a new assembly of this kind."""
        if self.page.locator("summary", has_text="Add an assembly").count():
            self.reach("Add an assembly")
            self._keys.press("Enter")
        self.follow(kind)

    def enter(self) -> None:
        """Press Enter, and wait for the page that comes."""
        self.page.evaluate("window.leaving = true")
        self._keys.press("Enter")
        self.page.wait_for_function("() => !window.leaving && document.readyState === 'complete'")

    def go_to(self, address: str) -> None:
        """Open an address, as from a bookmark."""
        self.page.goto(address)

    def _fields(self) -> int:
        return int(self.page.locator("main input").count())


def whole(text: str) -> int:
    """The one whole number in a text."""
    numbers = re.findall(r"\d+", text)
    assert len(numbers) == 1, text
    return int(numbers[0])
