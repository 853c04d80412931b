"""What can hurt a hand or a printer."""

TEXTS = {
    "caution.head-strike": "Keep to the printer maker's limits of thickness and clearance: card that is too thick or curled can strike the head.",
    "caution.damp-fingers": "Keep damp fingers and loose sheets away from a running, powered printer.",
    "caution.damp-fingertip": "Touch card with a damp fingertip only well away from a running, powered printer.",
    "caution.smudge": "Wipe the smudge block with a dry finger only, well away from a running, powered printer.",
    "caution.smudge-on-sheet": "dry finger, away from the printer",
    "caution.blades": "Knives and trimmers cut: keep your fingers clear of the blade.",
    "caution.small-parts": "Small parts stuck on a card can come off and be swallowed: cards for small children fall under local product-safety rules.",
}
