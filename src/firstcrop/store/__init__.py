"""The database behind the shelf and the notebook: SQLite in the folder, PostgreSQL by URL."""
