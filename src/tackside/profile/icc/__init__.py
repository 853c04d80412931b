"""ICC profiles as files: tags, tables, intents, what a profile says of itself."""
