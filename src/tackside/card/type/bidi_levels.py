"""Which way each character of a paragraph runs: the levels of the Unicode Bidirectional Algorithm.

UAX #9, revision 46, by its rule numbers. Characters' classes are those of Python's ``unicodedata``. The library that
reorders whole lines keeps the levels to itself; shaping needs them, so they are worked out here and held to the
library's order by a test.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from unicodedata import bidirectional

from tackside.card.type.bidi_brackets import bracket_pairs

MAX_DEPTH = 125  # BD2
ISOLATES = ("LRI", "RLI", "FSI")
EMBEDDINGS = {"RLE": 1, "LRE": 0, "RLO": 1, "LRO": 0}
REMOVED = (*EMBEDDINGS, "PDF", "BN")  # X9
NEUTRAL = ("B", "S", "WS", "ON", *ISOLATES, "PDI")


def base_level(text: str) -> int:
    """0 for a paragraph that runs from the left, 1 from the right: its first strong character (P2, P3)."""
    return _first_strong([bidirectional(each) or "L" for each in text]) or 0


def levels(text: str, base: int) -> list[int]:
    """The embedding level of each character of one paragraph; even runs to the right, odd to the left."""
    classes = [bidirectional(each) or "L" for each in text]  # unassigned ones are taken for letters
    if base == 0 and not any(each in ("R", "AL", "AN", *EMBEDDINGS, *ISOLATES) for each in classes):
        return [0] * len(text)
    found, resolved = _explicit(classes, base)
    for sequence in _sequences(classes, found, base):
        _resolve_weak(resolved, sequence)
        _resolve_brackets(text, classes, resolved, sequence)
        _resolve_neutral(resolved, sequence)
    for place, sort in enumerate(resolved):  # I1, I2
        if sort == "R":
            found[place] += 1 - found[place] % 2
        elif sort in ("AN", "EN"):
            found[place] += 1 if found[place] % 2 else 2
        elif sort == "L":
            found[place] += found[place] % 2
    return _with_removed(classes, found, base)


def line_levels(text: str, found: Sequence[int], base: int) -> list[int]:
    """The levels of a paragraph's part that makes a line: spaces at its end and tabs run as the paragraph (L1)."""
    line = list(found)
    trailing = True
    for place in range(len(text) - 1, -1, -1):
        sort = bidirectional(text[place])
        if sort in ("S", "B"):
            trailing = True
        elif sort not in ("WS", *ISOLATES, "PDI", *REMOVED):
            trailing = False
        if trailing:
            line[place] = base
    return line


def visual_order(found: Sequence[int]) -> list[int]:
    """From left to right: the places in ``found`` (of characters, or of runs) as they stand in a line (L2)."""
    order = list(range(len(found)))
    odd = [level for level in found if level % 2]
    for level in range(max(found, default=0), min(odd, default=1) - 1, -1):
        start = 0
        while start < len(order):
            end = start
            while end < len(order) and found[order[end]] >= level:
                end += 1
            order[start:end] = reversed(order[start:end])
            start = max(end, start + 1)
    return order


@dataclass(frozen=True)
class _Sequence:
    """An isolating run sequence (BD13): the places of its characters, its level, and what stands at its ends."""

    places: tuple[int, ...]
    level: int
    start: str
    end: str


def _first_strong(classes: Sequence[str], start: int = 0, end: int | None = None) -> int | None:
    """P2: characters between an isolate and its end do not count."""
    depth = 0
    for sort in classes[start:end]:
        if sort in ISOLATES:
            depth += 1
        elif sort == "PDI":
            depth = max(depth - 1, 0)
        elif depth == 0 and sort in ("L", "R", "AL"):
            return 0 if sort == "L" else 1
    return None


def _isolate_ends(classes: Sequence[str]) -> dict[int, int]:
    """Each isolate's matching end, where it has one (BD9)."""
    ends: dict[int, int] = {}
    waiting: list[int] = []
    for place, sort in enumerate(classes):
        if sort in ISOLATES:
            waiting.append(place)
        elif sort == "PDI" and waiting:
            ends[waiting.pop()] = place
    return ends


def _explicit(classes: Sequence[str], base: int) -> tuple[list[int], list[str]]:
    """X1 to X8: levels from embeddings and isolates, and the classes with overrides applied."""
    ends = _isolate_ends(classes)
    matched = set(ends.values())
    stack: list[tuple[int, str | None, bool]] = [(base, None, False)]
    lost_isolates = lost_embeddings = open_isolates = 0
    found: list[int] = []
    resolved = list(classes)
    for place, sort in enumerate(classes):
        if sort == "PDI":  # X6a: it stands on the level outside, so it closes first
            if lost_isolates:
                lost_isolates -= 1
            elif open_isolates and place in matched:
                lost_embeddings = 0
                while not stack[-1][2]:
                    stack.pop()
                stack.pop()
                open_isolates -= 1
        level, override, _ = stack[-1]
        found.append(level)
        if override and sort not in REMOVED:
            resolved[place] = override
        if sort in ISOLATES or sort in EMBEDDINGS:
            odd = EMBEDDINGS.get(sort, int(sort == "RLI"))
            if sort == "FSI":
                odd = _first_strong(classes, place + 1, ends.get(place)) or 0
            deeper = level + 1 + (level % 2 == odd)
            isolate = sort in ISOLATES
            if deeper <= MAX_DEPTH and not lost_isolates and not lost_embeddings:
                stack.append((deeper, {"RLO": "R", "LRO": "L"}.get(sort), isolate))
                open_isolates += isolate
            elif isolate:
                lost_isolates += 1
            elif not lost_isolates:
                lost_embeddings += 1
        elif sort == "PDF" and not lost_isolates:  # X7
            if lost_embeddings:
                lost_embeddings -= 1
            elif not stack[-1][2] and len(stack) > 1:
                stack.pop()
    return found, resolved


def _sequences(classes: Sequence[str], found: Sequence[int], base: int) -> list[_Sequence]:
    """X10: level runs, those an isolate cuts apart joined again."""
    ends = _isolate_ends(classes)
    runs: list[list[int]] = []
    for place in (each for each, sort in enumerate(classes) if sort not in REMOVED):
        if runs and found[runs[-1][-1]] == found[place]:
            runs[-1].append(place)
        else:
            runs.append([place])
    starting = {run[0]: run for run in runs}
    matched = set(ends.values())
    sequences: list[_Sequence] = []
    for run in runs:
        if run[0] in matched:  # goes on from an earlier run
            continue
        places = list(run)
        while places[-1] in ends and ends[places[-1]] in starting:
            places += starting[ends[places[-1]]]
        sequences.append(_bounded(places, classes, found, base))
    return sequences


def _bounded(places: list[int], classes: Sequence[str], found: Sequence[int], base: int) -> _Sequence:
    level = found[places[0]]
    kept = [place for place, sort in enumerate(classes) if sort not in REMOVED]
    before = [place for place in kept if place < places[0]]
    after = [place for place in kept if place > places[-1]]
    level_before = found[before[-1]] if before else base
    # An isolate without an end is followed by nothing but the end of the paragraph.
    level_after = base if not after or classes[places[-1]] in ISOLATES else found[after[0]]
    return _Sequence(
        tuple(places), level, "LR"[max(level, level_before) % 2], "LR"[max(level, level_after) % 2]
    )


def _resolve_weak(resolved: list[str], run: _Sequence) -> None:
    """W1 to W7."""
    places = run.places
    before = run.start
    for place in places:  # W1
        if resolved[place] == "NSM":
            resolved[place] = "ON" if before in (*ISOLATES, "PDI") else before
        before = resolved[place]
    strong = run.start
    for place in places:  # W2
        if resolved[place] in ("L", "R", "AL"):
            strong = resolved[place]
        elif resolved[place] == "EN" and strong == "AL":
            resolved[place] = "AN"
    for place in places:  # W3
        if resolved[place] == "AL":
            resolved[place] = "R"
    sorts = [resolved[place] for place in places]
    for at in range(1, len(sorts) - 1):  # W4
        left, here, right = sorts[at - 1 : at + 2]
        if left == right and ((left == "EN" and here in ("ES", "CS")) or (left == "AN" and here == "CS")):
            sorts[at] = left
    for at, sort in enumerate(sorts):  # W5
        if sort == "EN":
            for step in (-1, 1):
                near = at + step
                while 0 <= near < len(sorts) and sorts[near] == "ET":
                    sorts[near] = "EN"
                    near += step
    strong = run.start
    for place, sort in zip(places, sorts, strict=True):
        if sort in ("ES", "ET", "CS"):  # W6
            sort = "ON"
        if sort in ("L", "R"):
            strong = sort
        resolved[place] = "L" if sort == "EN" and strong == "L" else sort  # W7


def _side(sort: str) -> str | None:
    """A class as N0 to N2 see it: numbers count as right to left."""
    return {"L": "L", "R": "R", "EN": "R", "AN": "R"}.get(sort)


def _resolve_brackets(text: str, classes: Sequence[str], resolved: list[str], run: _Sequence) -> None:
    """N0: a pair of brackets runs as what it holds, or as what stands before it."""
    own = "LR"[run.level % 2]
    sides = [_side(resolved[place]) for place in run.places]
    neutral = [text[place] if resolved[place] == "ON" else "" for place in run.places]
    for start, end in bracket_pairs(neutral):
        inside = {side for side in sides[start + 1 : end] if side}
        if not inside:
            continue
        chosen = own
        if own not in inside:
            before = next((side for side in reversed(sides[:start]) if side), run.start)
            chosen = before if before != own else own
        for at in (start, end):
            sides[at] = resolved[run.places[at]] = chosen
            for after in range(at + 1, len(sides)):  # marks on a bracket go with it
                if classes[run.places[after]] != "NSM":
                    break
                sides[after] = resolved[run.places[after]] = chosen


def _resolve_neutral(resolved: list[str], run: _Sequence) -> None:
    """N1 and N2: what stands between two sides alike is theirs, the rest runs as the level."""
    places, own = run.places, "LR"[run.level % 2]
    at = 0
    while at < len(places):
        if resolved[places[at]] not in NEUTRAL:
            at += 1
            continue
        end = at
        while end < len(places) and resolved[places[end]] in NEUTRAL:
            end += 1
        left = _side(resolved[places[at - 1]]) if at else run.start
        right = _side(resolved[places[end]]) if end < len(places) else run.end
        for place in places[at:end]:
            resolved[place] = left if left and left == right else own
        at = end


def _with_removed(classes: Sequence[str], found: list[int], base: int) -> list[int]:
    """Characters that only steer take the level of what stands before them (5.2 of the annex)."""
    level = base
    for place, sort in enumerate(classes):
        if sort in REMOVED:
            found[place] = level
        level = found[place]
    return found
