"""Files read and written on the ground: whole or not at all, TOML into records with the place of every fault."""
