"""What stands around the blocks of a panel: head, headings, frame, marks, tag, and the type they are set in."""
