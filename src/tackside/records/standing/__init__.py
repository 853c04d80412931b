"""What stands and what does not: withdrawals, the latest of several trials, practice that counts for nothing."""
