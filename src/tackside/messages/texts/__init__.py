"""The texts, one module a subject, in rooms: a code's first part names its module."""
