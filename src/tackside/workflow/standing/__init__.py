"""What stands of a trial, taken out of every answer and put back: nothing is deleted."""
