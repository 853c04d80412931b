"""What stands between the workbench and the rest of the world: one concern a file."""
