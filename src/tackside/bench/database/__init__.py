"""The bench's database: its tables, transactions, lists' queries, migrations; SQLite, or PostgreSQL by URL."""
