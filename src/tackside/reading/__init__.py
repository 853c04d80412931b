"""What comes back from a trial: instrument files and scans."""
