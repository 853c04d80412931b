"""A card's own profile: built from its readings, used, put where the system looks, checked by a print, refined."""
