"""The grading rules as data, and the grade that they leave."""
