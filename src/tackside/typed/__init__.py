"""What people type, understood alike in terminal and browser: lengths, sizes, weights, money, and doubts."""
