"""A person at the workbench, with a mouse or with the keyboard alone: what they do is done, counted and timed.

The time is theirs, by the keystroke-level model (S140 in docs/sources.md): what the machine works, and the print dries,
is not in it, and nor is reading. It takes whoever types as slowly as an average person who is no typist.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

# S140: a key of somebody who is no typist, pointing, going from keyboard to mouse or back, making up one's mind.
KEY, POINT, HOME, THINK = 0.28, 1.10, 0.40, 1.35
NEAR = 6  # as often a person presses Tab before they reach for the mouse
FAR = 80  # what is not reached by as many is out of reach
NAMED = "e => e === document.activeElement"


@dataclass
class Person:
    """``clicks`` are those beside typing; choosing a file is two, one to ask and one in the system's window."""

    page: Any
    has_mouse: bool = True
    clicks: int = 0
    keys: int = 0
    seconds: float = 0.0
    is_typing: bool = False

    def press(self, target: str) -> None:
        """Press a button or follow a link."""
        found = self._found(target)
        self.seconds += THINK
        if self.has_mouse:
            self._click(found)
            return
        self._tab_to(found, FAR)
        self._key("Enter")

    def type(self, field: str, text: str) -> None:
        """Type into a field, coming from the one before it."""
        self._go_to(field)
        self.seconds += THINK
        self.page.keyboard.type(text)
        self._count(len(text))

    def choose(self, field: str, option: str) -> None:
        """Choose an option by the letters it begins with."""
        self._go_to(field)
        self.seconds += THINK
        self.page.keyboard.type(option)
        self._count(len(option))
        chosen = self._found(field).evaluate("e => e.selectedOptions[0].textContent.trim()")
        assert chosen.startswith(option), (field, chosen)

    def give(self, field: str, file: Path) -> None:
        """Choose a file."""
        found = self._found(field)
        self.seconds += THINK
        with self.page.expect_file_chooser() as asked:
            if self.has_mouse:
                self._click(found)
            else:
                self._tab_to(found, FAR)
                self._key("Enter")
        asked.value.set_files(file)
        self.seconds += THINK + POINT + KEY
        self.clicks += 1

    def save(self, target: str, folder: Path) -> Path:
        """Press a download; where it was saved."""
        with self.page.expect_download() as waiting:
            self.press(target)
        file = folder / waiting.value.suggested_filename
        waiting.value.save_as(file)
        return file

    def _go_to(self, field: str) -> None:
        found = self._found(field)
        if not self._tab_to(found, NEAR if self.has_mouse else FAR, may_miss=self.has_mouse):
            self._click(found)

    def _tab_to(self, found: Any, most: int, *, may_miss: bool = False) -> bool:
        if found.evaluate(NAMED):
            return True
        if may_miss and not self._is_near(found, most):
            return False
        for _ in range(most):
            self._key("Tab")
            if found.evaluate(NAMED):
                return True
        assert may_miss, "the keyboard does not get there"
        return False

    def _is_near(self, found: Any, most: int) -> bool:
        """Whether a person sees that Tab will lead there soon."""
        step = """(e, most) => {
            const stops = "a[href], button, input:not([type=hidden]), select, textarea, summary";
            const all = [...document.querySelectorAll(stops)].filter(
                each => each.tabIndex >= 0 && !each.disabled && each.checkVisibility());
            const from = all.indexOf(document.activeElement), to = all.indexOf(e);
            return from >= 0 && to > from && to - from <= most;
        }"""
        return bool(found.evaluate(step, most))

    def _found(self, target: str) -> Any:
        found = self.page.locator(target).locator("visible=true").first
        found.wait_for()
        return found

    def _click(self, found: Any) -> None:
        found.click()
        self.clicks += 1
        self.seconds += POINT + KEY + (HOME if self.is_typing else 0.0)
        self.is_typing = False

    def _key(self, name: str) -> None:
        self.page.keyboard.press(name)
        self._count(1)

    def _count(self, keys: int) -> None:
        self.keys += keys
        self.seconds += KEY * keys + (0.0 if self.is_typing or not self.has_mouse else HOME)
        self.is_typing = True
