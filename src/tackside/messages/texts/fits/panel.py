"""Panels as a card maker calls them; the panels of a fold that has no name of its own are numbered."""

TEXTS = {
    "panel.outside": "outside",
    "panel.inside": "inside",
    "panel.front": "front",
    "panel.back": "back",
    "panel.inside-left": "inside left",
    "panel.inside-right": "inside right",
    "panel.inside-middle": "inside middle",
    "panel.inside-upper": "inside upper",
    "panel.inside-lower": "inside lower",
    "panel.front-left": "front left",
    "panel.front-right": "front right",
    "panel.front-upper": "front upper",
    "panel.front-lower": "front lower",
    "panel.outside-left": "outside left",
    "panel.outside-middle": "outside middle",
    "panel.flap": "flap",
    "panel.flap-numbered": "flap {number}",
    "panel.inside-numbered": "inside {number}",
    "panel.hidden-numbered": "hidden panel {number}",
    "panel.numbered": "panel {number}",
}
