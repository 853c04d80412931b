"""The texts, one module a subject: a code's first part names its module."""
