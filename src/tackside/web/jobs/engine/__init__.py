"""The keeper of jobs and its workers."""
