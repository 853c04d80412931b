"""What records kept as whole sentences, before messages were data."""

TEXTS = {"kept.sentence": "{text}"}
