"""The notebook: what was made, from which lots, what it measured, what was decided and why.

The only room that speaks to a database: an SQLite file, or PostgreSQL for a team.
"""
