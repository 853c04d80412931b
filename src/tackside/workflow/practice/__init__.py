"""A virtual press to practise on: any sheet printed and scanned on an invented card, with a fault to find."""
