"""The bench's database: its tables, sessions, lists' queries, migrations; SQLite, or PostgreSQL by URL."""
