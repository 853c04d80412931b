"""Where everything on a card stands, in mm."""
