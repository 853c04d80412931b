"""What a person typed or dropped: received as a stream, checked, and shown again where it will not do."""
