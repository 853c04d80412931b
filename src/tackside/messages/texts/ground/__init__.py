"""What anything may say: records, files, forms, jobs, cautions, the bench."""
