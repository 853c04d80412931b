"""The blocks of a test sheet, one idea each: where its parts stand, and how they are drawn."""
