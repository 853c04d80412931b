"""Jobs about pictures: check, proof, choose, gamut, profiles; and the cards that were read."""
