"""Talking to a printer by the Internet Printing Protocol (RFC 8010, RFC 8011)."""
